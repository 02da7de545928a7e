"""What meters measured over some months, client by client, from the bills kept with their months."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from math import inf, isfinite, sqrt
from typing import Any

from django.core.cache import cache
from django.db.models import Count, Max, Min, Q, QuerySet, Sum

from fleet.models import Client
from reports.models import MeterBaseline, MeterMonth
from reports.numerics.measured.uncertainty import detected
from reports.selectors.measured import uncertainty_of
from reports.selectors.metered.fits import Point

REMEMBERED_S = 86_400


@dataclass(frozen=True)
class Measured:
    """A measured saving, never added to an estimated one; ``uncertainty_l`` to either side at 90 %. [L]"""

    baseline_l: float
    used_l: float
    uncertainty_l: float

    @property
    def saved_l(self) -> float:
        """Return what was used less than expected."""
        return self.baseline_l - self.used_l

    @property
    def detected(self) -> bool:
        """Tell whether a saving stands out."""
        return detected(self.saved_l, self.uncertainty_l)

    @property
    def told_uncertainty_l(self) -> float | None:
        """Return the uncertainty, None where there is too little to tell it."""
        return self.uncertainty_l if isfinite(self.uncertainty_l) else None


def added(parts: Sequence[Measured]) -> Measured | None:
    """Add up measured savings, their uncertainties as independent; None without any."""
    if not parts:
        return None
    return Measured(
        baseline_l=sum(one.baseline_l for one in parts),
        used_l=sum(one.used_l for one in parts),
        uncertainty_l=sqrt(sum(one.uncertainty_l**2 for one in parts)),
    )


def measured_by_client(ids: QuerySet[Client, Any], months: Q) -> dict[int, Measured]:
    """Return what the meters of each client measured in the bills that ended in some months.

    Those of baselines in use only. How far a meter's sum may be off is remembered until its months are made
    anew, since it takes a fit each.
    """
    rows = MeterMonth.objects.filter(
        months, meter__site__client__in=ids, baseline__replaced_at=None, baseline__refused=""
    ).order_by()
    sums = list(
        rows.values("meter", "meter__site__client").annotate(
            baseline=Sum("baseline_l"),
            used=Sum("used_l"),
            kept=Count("pk"),
            oldest=Min("pk"),
            newest=Max("pk"),
        )
    )
    off = _uncertainties(rows, sums)
    by_client: dict[int, list[Measured]] = defaultdict(list)
    for row in sums:
        by_client[row["meter__site__client"]].append(
            Measured(row["baseline"], row["used"], off.get(row["meter"], inf))  # its months just made anew
        )
    return {pk: found for pk, parts in by_client.items() if (found := added(parts)) is not None}


def _uncertainties(rows: QuerySet[MeterMonth], sums: Sequence[Mapping[str, Any]]) -> dict[int, float]:
    """Return the uncertainty of each meter's sum; a meter's months are stored anew all at once, in order."""
    made_from = sorted((row["meter"], row["oldest"], row["newest"], row["kept"]) for row in sums)
    key = f"measured:{sha256(repr(made_from).encode()).hexdigest()}"
    found: dict[int, float] | None = cache.get(key)
    if found is None:
        found = _reckoned(rows)
        cache.set(key, found, REMEMBERED_S)
    return found


def _reckoned(rows: QuerySet[MeterMonth]) -> dict[int, float]:
    points: dict[int, list[Point]] = defaultdict(list)
    for baseline, own in rows.order_by("meter", "month").values_list("baseline", "points"):
        points[baseline] += [_point(one) for one in own]
    return {
        baseline.meter_id: uncertainty_of(baseline, points[baseline.pk])
        for baseline in MeterBaseline.objects.filter(pk__in=points)
    }


def _point(kept: dict[str, Any]) -> Point:
    return Point(
        date.fromisoformat(kept["first"]),
        date.fromisoformat(kept["last"]),
        kept["used_l"],
        kept["apart_l"],
        kept["need_l"],
    )
