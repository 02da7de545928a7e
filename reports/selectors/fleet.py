"""Totals of clients and of a company from the monthly totals: few rows for any fleet."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import F, Q, Sum

from reports.models import ProgramMonth


@dataclass(frozen=True)
class Totals:
    """Estimated litres of some months; None where nothing has been counted yet."""

    applied_l: float | None
    found_l: float | None
    saved_l: float | None
    saved_monthly_l: float | None
    adequacy: float | None

    @property
    def share(self) -> float | None:
        """Return what was saved as a share of what the settings found would have used."""
        return self.saved_l / self.found_l if self.saved_l is not None and self.found_l else None


NOTHING = Totals(None, None, None, None, None)
SAVED = F("found_l") - F("applied_l") - F("found_withheld_l")
_SUMS = {
    "applied": Sum("applied_l"),
    "found": Sum("found_l"),
    "found_withheld": Sum("found_withheld_l"),
    "monthly": Sum("monthly_l"),
    "monthly_withheld": Sum("monthly_withheld_l"),
    "applied_with_monthly": Sum("applied_l", filter=Q(monthly_l__isnull=False)),
    "need": Sum("need_l"),
    "short": Sum("short_l"),
}


def this_year(on: date) -> date:
    """Return the first day of the running year: what lists and pages count up from."""
    return on.replace(month=1, day=1)


def company_totals(user: Any, company_id: int, *, first: date) -> Totals:
    """Return the totals of a company's clients from a month on."""
    rows = ProgramMonth.objects.visible_to(user).of_company(company_id).filter(month__gte=first)
    return _as_totals(rows.aggregate(**_SUMS))


def totals_of(client_ids: Sequence[int], *, first: date) -> dict[int, Totals]:
    """Return the totals of some clients from a month on; a client nothing was counted for is left out."""
    rows = (
        ProgramMonth.objects.filter(controller__site__client__in=client_ids, month__gte=first)
        .order_by()
        .values("controller__site__client")
        .annotate(**_SUMS)
    )
    return {row["controller__site__client"]: _as_totals(dict(row)) for row in rows}


def _as_totals(row: dict[str, Any]) -> Totals:
    if row["applied"] is None:
        return NOTHING
    monthly = None
    if row["monthly"] is not None:
        monthly = row["monthly"] - row["applied_with_monthly"] - row["monthly_withheld"]
    return Totals(
        applied_l=row["applied"],
        found_l=row["found"],
        saved_l=row["found"] - row["applied"] - row["found_withheld"],
        saved_monthly_l=monthly,
        adequacy=1.0 - row["short"] / row["need"] if row["need"] else None,
    )
