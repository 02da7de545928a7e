"""Keep the months of sites and meters: budget, what meters counted and measured, what of it was applied."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta

import numpy as np
from django.db import transaction
from numpy.typing import NDArray

from common.months import month_after
from fleet.models import Meter, Site, Zone
from fleet.selectors.meter_use import daily_litres
from reports.models import MeterMonth, SiteMonth
from reports.selectors.budget_days import budget_days
from reports.selectors.measured import Counted, meter_savings
from reports.selectors.metered.need import zones_behind
from reports.selectors.program_days import ProgramDays

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MONTHS_KEPT = 36
BILLS_COME_WITHIN = timedelta(days=92)  # so long after its month a bill may come and still be seen by itself
SITES_AT_ONCE = 50  # a year of their hours is some ten million numbers
FIGURES = (
    "through",
    "days",
    "budget_l",
    "metered_l",
    "metered_days",
    "mixed",
    "compared_days",
    "compared_l",
    "explained_l",
    "compared_budget_l",
)


@dataclass(frozen=True)
class _Days:
    """A site's days of the window, each (days,): NaN where the budget or the meters aren't known. [L]"""

    budget_l: Floats
    applied_l: Floats
    metered_l: Floats
    began: Bools
    compared: Bools
    mixed: bool


def store_months(days: ProgramDays, *, on: date, timezone: str, since: date | None) -> None:
    """Rebuild the months of the sites of some program days, up to the day before ``on``.

    ``since`` leaves months of sites alone that end three months before it, since bills come late; what was
    measured is told anew whole, since a new baseline bears on all of it.
    """
    first = window_begins(on, since)
    last = on - timedelta(days=1)
    if last < first:
        return
    budget = budget_days(days)
    sites = list(days.field.rows.sites)
    for start in range(0, len(sites), SITES_AT_ONCE):
        some = sites[start : start + SITES_AT_ONCE]
        rows = Meter.objects.filter(site__in=some).select_related("site__cell", "site__client__company")
        meters = list(rows.order_by("site", "name"))
        litres = daily_litres([m.pk for m in meters], first=first, last=last, timezone=timezone)
        whole = _metered_whole(some, meters)
        own = {site.pk: [m for m in meters if m.site_id == site.pk] for site in some}
        months = [
            month
            for site in some
            for month in _months(
                site,
                _days_of(days, site, budget[site.pk], own[site.pk], litres, (first, last), site.pk in whole),
                first,
            )
        ]
        _store(some, months, since=first)
        _store_measured(meters, first=window_begins(on, None), last=last)


def window_begins(on: date, since: date | None) -> date:
    """Return the first day of the months that are rebuilt."""
    year, month = divmod(on.year * 12 + on.month - MONTHS_KEPT, 12)
    earliest = date(year, month + 1, 1)
    return earliest if since is None else max(earliest, (since - BILLS_COME_WITHIN).replace(day=1))


def _metered_whole(sites: Sequence[Site], meters: Sequence[Meter]) -> set[int]:
    """Return the sites whose meters know all that the zones take and nothing else."""
    zones: dict[int, set[int]] = defaultdict(set)
    for site, zone in Zone.objects.filter(controller__site__in=sites).values_list("controller__site", "pk"):
        zones[site].add(zone)
    behind: dict[int, set[int]] = defaultdict(set)
    found = zones_behind(meters)
    for meter in meters:
        behind[meter.site_id] |= {zone.pk for zone in found[meter.pk]}
    mixed = {meter.site_id for meter in meters if meter.mixed}
    return {pk for pk, own in zones.items() if pk not in mixed and behind[pk] == own}


def _days_of(
    days: ProgramDays,
    site: Site,
    budget: Floats,
    meters: Sequence[Meter],
    litres: dict[int, Floats],
    window: tuple[date, date],
    whole: bool,
) -> _Days:
    first, last = window
    boxes = {c.pk for c in days.field.rows.controllers if c.site_id == site.pk}
    columns = [n for n, key in enumerate(days.programs) if key[0] in boxes]
    began: Bools = np.asarray(days.began[:, columns].any(axis=1))
    counts: Bools = np.asarray(began & (not any(pk in boxes for pk, _ in days.lacking)))
    begin = days.field.days[0]
    for one in days.away:
        if days.field.zones[one.zone].controller_id in boxes:
            counts[max((one.first - begin).days, 0) : max((min(one.last, last) - begin).days + 1, 0)] = False
    size = (last - first).days + 1
    metered = np.full(size, np.nan)
    if meters:
        metered = np.sum([litres[meter.pk] for meter in meters], axis=0)
    offset = (first - begin).days
    compared = _moved(counts, offset, size).astype(bool) & np.isfinite(metered) & whole
    return _Days(
        budget_l=_moved(budget, offset, size),
        applied_l=_moved(days.applied_l[:, columns].sum(axis=1), offset, size),
        metered_l=metered,
        began=_moved(began, offset, size).astype(bool),
        compared=compared,
        mixed=any(meter.mixed for meter in meters),
    )


def _moved(values: NDArray[np.generic], offset: int, size: int) -> Floats:
    """Return values of days from ``offset`` on as so many days, 0 where there are none."""
    found = np.zeros(size)
    start = max(-offset, 0)
    part = values[max(offset, 0) :][: max(size - start, 0)]
    found[start : start + len(part)] = part
    return found


def _months(site: Site, days: _Days, first: date) -> Iterator[SiteMonth]:
    at, month, size = 0, first, days.began.size
    while at < size:
        count = min((month_after(month) - month).days, size - at)
        rows = slice(at, at + count)
        known = np.isfinite(days.metered_l[rows])
        if days.began[rows].any() or known.any():
            yield _month(site, days, rows, month)
        at, month = at + count, month_after(month)


def _month(site: Site, days: _Days, rows: slice, month: date) -> SiteMonth:
    count = rows.stop - rows.start
    metered, compared = days.metered_l[rows], days.compared[rows]
    known = np.isfinite(metered)
    return SiteMonth(
        site_id=site.pk,
        month=month,
        through=month + timedelta(days=count - 1),
        days=count,
        budget_l=_known(days.budget_l[rows].sum()),
        metered_l=float(metered[known].sum()) if known.any() else None,
        metered_days=int(known.sum()),
        mixed=days.mixed,
        compared_days=int(compared.sum()),
        compared_l=float(metered[compared].sum()),
        explained_l=float(days.applied_l[rows][compared].sum()),
        compared_budget_l=_known(days.budget_l[rows][compared].sum()),
    )


def _known(litres: float) -> float | None:
    return float(litres) if np.isfinite(litres) else None


def _store(sites: Sequence[Site], months: list[SiteMonth], *, since: date) -> None:
    """Store months in the place of what was kept from ``since`` on: one nothing is known of any more goes."""
    kept = {(one.site_id, one.month) for one in months}
    with transaction.atomic():
        stored = SiteMonth.objects.filter(site__in=sites, month__gte=since)
        gone = [pk for pk, *at in stored.values_list("pk", "site", "month") if tuple(at) not in kept]
        SiteMonth.objects.filter(pk__in=gone).delete()
        SiteMonth.objects.bulk_create(
            months,
            batch_size=500,
            update_conflicts=True,
            unique_fields=["site", "month"],
            update_fields=list(FIGURES),
        )


def _store_measured(meters: list[Meter], *, first: date, last: date) -> None:
    measured: list[MeterMonth] = []
    for one in meter_savings(meters, first=first, last=last):
        by_month: dict[date, list[Counted]] = defaultdict(list)
        for bill in one.bills:
            by_month[bill.point.last.replace(day=1)].append(bill)
        measured += [
            MeterMonth(
                meter=one.meter,
                baseline=one.baseline,
                month=month,
                points=[_point(bill) for bill in bills],
                baseline_l=sum(bill.expected_l for bill in bills),
                used_l=sum(bill.point.used_l for bill in bills),
            )
            for month, bills in by_month.items()
        ]
    with transaction.atomic():
        MeterMonth.objects.filter(meter__in=meters, month__gte=first).delete()
        MeterMonth.objects.bulk_create(
            measured,
            batch_size=500,
            update_conflicts=True,  # another rebuild of the same months may have been faster
            unique_fields=["meter", "month"],
            update_fields=["baseline", "points", "baseline_l", "used_l"],
        )


def _point(bill: Counted) -> dict[str, object]:
    told = asdict(bill.point)
    return told | {"first": bill.point.first.isoformat(), "last": bill.point.last.isoformat()}
