"""Fit a meter's baseline on a chosen period and keep it; log what no weather explains."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone as real_time

from common import clock
from common.errors import Refused
from fleet.models import Meter, User
from fleet.selectors.meter_use import spans_of
from fleet.selectors.people import require_set_up
from fleet.services.holding import held
from fleet.services.storing import store
from fleet.tenancy import company_id_of
from reports.models import MeterBaseline, NonRoutineChange
from reports.numerics.measured.regression import Fit
from reports.numerics.measured.terms import names_of
from reports.selectors.measured import changes_of
from reports.selectors.metered.bills import bills_of
from reports.selectors.metered.fits import Point, fitted, points_of
from reports.selectors.metered.need import needs_of

LEAST_DAYS = 350  # twelve bills of four weeks and some days
POOR_CV = 0.25  # ASHRAE Guideline 14, monthly data; secondary
MAY_SET = ("kind", "first", "last", "litres_day", "reason", "by")


def fit_baseline(*, meter: Meter, by: User, first: date, last: date) -> MeterBaseline:
    """Fit a meter's use on the bills that lie between two days, both included, and keep the fit.

    The fit in use is replaced, unless the new one is refused and the old one wasn't. ``meter`` comes with
    site and cell.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If the bills cover less than twelve months, or can't be fitted at all.
    """
    require_set_up(by, company_id_of(meter))
    if last >= clock.today(meter.site.timezone):
        raise Refused("A baseline is made of days that are over.", field="last")
    if last <= first:
        raise Refused("The last day must lie after the first.", field="last")
    points = _points(meter, first, last)
    covered = sum((point.last - point.first).days + 1 for point in points)
    if covered < LEAST_DAYS:
        raise Refused(
            f"A baseline takes twelve months of bills with known weather; between these days there are "
            f"{covered} days of them. Take in more, or fetch older weather (manage.py backfill).",
            field="first",
        )
    terms = names_of(bills=len(points))
    try:
        fit = fitted(terms, points)
    except ValueError as error:
        raise Refused(f"No baseline can be made of these bills: {error}.") from error
    return _keep(meter, by, (first, last), terms, points, fit)


def _points(meter: Meter, first: date, last: date) -> list[Point]:
    bills = bills_of(spans_of([meter.pk], first=first, last=last)[meter.pk], first=first, last=last)
    need = needs_of([meter], first=first, last=last)[meter.pk]
    if not need.area_m2.size:
        raise Refused("No zone behind this meter has plants, sun and area; its need can't be reckoned.")
    needs = [need.over(bill.first, bill.last) for bill in bills]
    return points_of(bills, needs, changes_of([meter])[meter.pk])


@transaction.atomic
def _keep(
    meter: Meter, by: User, days: tuple[date, date], terms: Sequence[str], points: list[Point], fit: Fit
) -> MeterBaseline:
    held(meter)
    now = real_time.now()
    refused = why_not(fit)
    before = MeterBaseline.objects.filter(meter=meter, replaced_at=None).first()
    stays = bool(refused) and before is not None and not before.refused
    if before is not None and not stays:
        before.replaced_at = now
        before.save(update_fields=["replaced_at"])
    return MeterBaseline.objects.create(
        meter=meter,
        first=days[0],
        last=days[1],
        terms=list(terms),
        coefficients=fit.coefficients.tolist(),
        points=[
            asdict(point) | {"first": point.first.isoformat(), "last": point.last.isoformat()}
            for point in points
        ],
        figures={
            "cv_rmse": fit.cv_rmse,
            "r2": fit.r2,
            "nmbe": fit.nmbe,
            "rho": fit.rho,
            "effective": fit.effective,
        },
        refused=refused,
        fitted_at=now,
        by=by,
        replaced_at=now if stays else None,
    )


def why_not(fit: Fit) -> str:
    """Return in plain words why a fit isn't good enough to measure against, or nothing."""
    if fit.cv_rmse > POOR_CV:
        return (
            f"Bills lie {fit.cv_rmse:.0%} of a usual bill off what weather and season say; up to "
            f"{POOR_CV:.0%} can be measured against."
        )
    if fit.effective <= fit.coefficients.size:
        return "Bills follow each other so closely that they are worth too few to measure against."
    return ""


@transaction.atomic
def log_change(*, meter: Meter, by: User, **fields: Any) -> NonRoutineChange:
    """Log a change of a meter's use that no weather explains.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, company_id_of(meter))
    change = NonRoutineChange(meter=meter)
    store(change, fields=fields | {"by": by}, may_set=MAY_SET, once="first")
    return change


@transaction.atomic
def edit_change(*, change: NonRoutineChange, by: User, **fields: Any) -> NonRoutineChange:
    """Set a logged change right; it stays with its meter. Raises as ``log_change``."""
    require_set_up(by, company_id_of(change))
    store(change, fields=fields | {"by": by}, may_set=MAY_SET, once="first")
    return change


@transaction.atomic
def remove_change(*, change: NonRoutineChange, by: User) -> None:
    """Take a logged change off; what it was stays in its history. Raises NotAllowed as ``log_change``."""
    require_set_up(by, company_id_of(change))
    held(change)
    change.delete()
