"""Keep the months of programs, sites and meters: a cache that fleet pages read, rebuilt from the days."""

from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np
from django.db import transaction

from common.months import month_after
from fleet.models import Site
from reports.models import ProgramMonth
from reports.selectors.baselines import FOUND, MONTHLY
from reports.selectors.program_days import ProgramDays, program_days
from reports.services.months_of_sites import store_months

SITES_AT_ONCE = 200
FIGURES = (
    "through",
    "days",
    "applied_l",
    "found_l",
    "found_withheld_l",
    "monthly_l",
    "monthly_withheld_l",
    "need_l",
    "short_l",
)


def recompute(*, on: date, site_ids: Sequence[int] | None = None, since: date | None = None) -> int:
    """Rebuild the months of some sites (all without it) up to the day before ``on``; return how many.

    ``since`` leaves months that end before it as they are.
    """
    sites = Site.objects.filter(cell__isnull=False).order_by("timezone", "pk")
    if site_ids is not None:
        sites = sites.filter(pk__in=site_ids)
    stored = 0
    by_timezone: dict[str, list[int]] = {}
    for pk, timezone in sites.values_list("pk", "timezone"):
        by_timezone.setdefault(timezone, []).append(pk)
    for timezone, ids in by_timezone.items():
        for start in range(0, len(ids), SITES_AT_ONCE):
            days = program_days(ids[start : start + SITES_AT_ONCE], on=on, timezone=timezone)
            stored += _store(list(_months(days, since=since)))
            store_months(days, on=on, timezone=timezone, since=since)
    return stored


def _months(days: ProgramDays, *, since: date | None) -> Iterator[ProgramMonth]:
    firsts = sorted({day.replace(day=1) for day in days.days})
    for first in firsts:
        after = month_after(first)
        if since is not None and after <= since:
            continue
        rows = [n for n, day in enumerate(days.days) if first <= day < after]
        for column, (controller, letter) in enumerate(days.programs):
            counted = days.began[rows, column]
            if counted.any():
                yield _month(days, rows, column, first=first, controller=controller, letter=letter)


def _month(
    days: ProgramDays, rows: list[int], column: int, *, first: date, controller: int, letter: str
) -> ProgramMonth:
    found, monthly = days.against[FOUND], days.against[MONTHLY]
    usual = float(monthly.baseline_l[rows, column].sum())
    known = bool(np.isfinite(usual))
    return ProgramMonth(
        controller_id=controller,
        letter=letter,
        month=first,
        through=days.days[rows[-1]],
        days=int(days.began[rows, column].sum()),
        applied_l=float(days.applied_l[rows, column].sum()),
        found_l=float(found.baseline_l[rows, column].sum()),
        found_withheld_l=float(found.withheld_l[rows, column].sum()),
        monthly_l=usual if known else None,
        monthly_withheld_l=float(monthly.withheld_l[rows, column].sum()) if known else None,
        need_l=float(days.need_l[rows, column].sum()),
        short_l=float(days.short_l[rows, column].sum()),
    )


def _store(months: list[ProgramMonth]) -> int:
    with transaction.atomic():
        ProgramMonth.objects.bulk_create(
            months,
            batch_size=500,
            update_conflicts=True,
            unique_fields=["controller", "letter", "month"],
            update_fields=list(FIGURES),
        )
    return len(months)
