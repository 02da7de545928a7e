"""Measured savings: what meters used against a baseline of their own earlier bills, and how sure that is.

Never added to what is estimated: it is another kind of figure, and says so.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt

import numpy as np

from fleet.models import Client, Meter, Site
from fleet.selectors.meter_use import spans_of
from reports.models import MeterBaseline, NonRoutineChange
from reports.numerics.measured.regression import Fit
from reports.numerics.measured.uncertainty import detected, guideline_uncertainty, sum_uncertainty
from reports.selectors.metered.bills import bills_of
from reports.selectors.metered.fits import (
    Point,
    expected,
    fitted,
    kept_points,
    matrix,
    points_of,
    same_months,
)
from reports.selectors.metered.need import needs_of

MEASURED = "measured"


@dataclass(frozen=True)
class Counted:
    """One bill that is counted, what its baseline expects of it, and what that says of the saving. [L]"""

    point: Point
    expected_l: float

    @property
    def saved_l(self) -> float:
        """Return what was used less than expected."""
        return self.expected_l - self.point.used_l


@dataclass(frozen=True)
class MeterSavings:
    """What one meter's bills say."""

    meter: Meter
    baseline: MeterBaseline
    bills: list[Counted]
    uncertainty_l: float
    guideline_l: float

    @property
    def expected_l(self) -> float:
        """Return what the baseline expects, non-routine changes added. [L]"""
        return sum(one.expected_l for one in self.bills)

    @property
    def used_l(self) -> float:
        """Return what was used. [L]"""
        return sum(one.point.used_l for one in self.bills)

    @property
    def apart_l(self) -> float:
        """Return what non-routine changes account for. [L]"""
        return sum(one.point.apart_l for one in self.bills)

    @property
    def saved_l(self) -> float:
        """Return what was used less than expected. [L]"""
        return self.expected_l - self.used_l

    @property
    def detected(self) -> bool:
        """Tell whether a saving stands out."""
        return detected(self.saved_l, self.uncertainty_l)


@dataclass(frozen=True)
class MeasuredSavings:
    """What the meters of a site or client saved over some bills; ``uncertainty_l`` to either side at 90 %."""

    first: date
    last: date
    baseline_l: float
    used_l: float
    saved_l: float
    uncertainty_l: float
    detected: bool
    cv_rmse: float
    r2: float
    words: str
    left_out: list[str]
    meters: list[MeterSavings]
    kind: str = MEASURED


def measured_savings(
    client_or_site: Client | Site, *, first: date, last: date, on: date
) -> MeasuredSavings | None:
    """Return what meters measured in the bills that ended from ``first`` to ``last``, known on ``on``.

    A bill counts whole, for the day it ends on, so that months add up to years. ``first`` and ``last`` of
    the answer are the days those bills really cover. Meters are summed, their uncertainties as independent.
    None if no meter has a baseline in use and a bill to count.
    """
    meters = meters_of(client_or_site)
    found = meter_savings(meters, first=first, last=min(last, on - timedelta(days=1)))
    return combined(meters, found) if found else None


def combined(meters: Sequence[Meter], found: Sequence[MeterSavings]) -> MeasuredSavings:
    """Add up what was found, at least one, of some meters; the others are named as left out."""
    saved = sum(one.saved_l for one in found)
    off = sqrt(sum(one.uncertainty_l**2 for one in found))
    counted = {one.meter.pk for one in found}
    points = [bill.point for one in found for bill in one.bills]
    begin, end = min(point.first for point in points), max(point.last for point in points)
    return MeasuredSavings(
        first=begin,
        last=end,
        baseline_l=sum(one.expected_l for one in found),
        used_l=sum(one.used_l for one in found),
        saved_l=saved,
        uncertainty_l=off,
        detected=detected(saved, off),
        cv_rmse=max(one.baseline.figures["cv_rmse"] for one in found),
        r2=min(one.baseline.figures["r2"] for one in found),
        words=_words(found),
        left_out=[
            f"{meter.site}, {meter}: no baseline of earlier bills, or no bill since"
            for meter in meters
            if meter.pk not in counted
        ],
        meters=list(found),
    )


def meters_of(client_or_site: Client | Site) -> list[Meter]:
    """Return the meters of a site or of all sites of a client, with site and cell."""
    of = {"site": client_or_site} if isinstance(client_or_site, Site) else {"site__client": client_or_site}
    meters = Meter.objects.filter(**of).select_related("site__cell", "site__tariff", "site__client__company")
    return list(meters.order_by("site__name", "name"))


def meter_savings(meters: Sequence[Meter], *, first: date, last: date) -> list[MeterSavings]:
    """Return what each meter with a baseline in use measured in the bills that ended between two days."""
    kept = {
        one.meter_id: one
        for one in MeterBaseline.objects.filter(meter__in=meters, replaced_at=None, refused="")
    }
    used = [meter for meter in meters if meter.pk in kept]
    if not used:
        return []
    begin = min(one.last for one in kept.values()) + timedelta(days=1)
    spans = spans_of([meter.pk for meter in used], first=begin, last=last)
    needs = needs_of(used, first=begin, last=last)
    changes = changes_of(used)
    found = []
    for meter in used:
        baseline = kept[meter.pk]
        bills = bills_of(spans[meter.pk], first=baseline.last + timedelta(days=1), last=last)
        bills = [bill for bill in bills if bill.last >= first]
        wanted = [needs[meter.pk].over(bill.first, bill.last) for bill in bills]
        if points := points_of(bills, wanted, changes[meter.pk]):
            found.append(_against(meter, baseline, points))
    return found


def changes_of(meters: Sequence[Meter]) -> dict[int, list[NonRoutineChange]]:
    """Return the non-routine changes of some meters, oldest first."""
    found: dict[int, list[NonRoutineChange]] = defaultdict(list)
    rows = NonRoutineChange.objects.filter(meter__in=meters).select_related("by").order_by("first", "pk")
    for row in rows:
        found[row.meter_id].append(row)
    return found


def _against(meter: Meter, baseline: MeterBaseline, points: list[Point]) -> MeterSavings:
    again = fitted(baseline.terms, kept_points(baseline))
    awaited = expected(baseline, points)
    return MeterSavings(
        meter=meter,
        baseline=baseline,
        bills=[Counted(point, float(litres)) for point, litres in zip(points, awaited, strict=True)],
        uncertainty_l=uncertainty_of(baseline, points, again),
        guideline_l=guideline_uncertainty(again, expected_l=float(np.sum(awaited)), bills=len(points)),
    )


def uncertainty_of(baseline: MeterBaseline, points: Sequence[Point], again: Fit | None = None) -> float:
    """Return by how much the saving of some bills may be off, to either side at 90 %. [L]

    ``again`` is the baseline made a fit, where it is at hand.
    """
    own = kept_points(baseline)
    x, days = matrix(baseline.terms, points)
    fit = fitted(baseline.terms, own) if again is None else again
    return sum_uncertainty(fit, x, days, alike=same_months(own, points))


def _words(found: Sequence[MeterSavings]) -> str:
    count, earlier = sum(len(one.bills) for one in found), sum(len(one.baseline.points) for one in found)
    meters = "one meter" if len(found) == 1 else f"{len(found)} meters"
    apart = any(one.apart_l for one in found)
    return (
        f"{count} bill{'s' if count != 1 else ''} of {meters} against {earlier} earlier ones, each for the "
        "weather of its own days; nine times in ten the true saving lies within what is told as uncertain."
        + (" Changes that no weather explains are taken into account." if apart else "")
    )
