"""Use of water, estimated from what was entered beside what meters counted; never one for the other."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.models import Meter, Site
from fleet.selectors.meter_use import daily_litres
from reports.selectors.savings import Account, account_of, rows_between

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Use:
    """Litres over some days: estimated (None before settings are known), metered on days all meters know."""

    first: date
    last: date
    estimated_l: float | None
    metered_l: float | None
    known_days: int
    days: int
    mixed: bool = False

    @property
    def whole(self) -> bool:
        """Tell whether the meters are known on every day."""
        return self.days > 0 and self.known_days == self.days


def site_use(site: Site, first: date, last: date, on: date) -> Use:
    """Return a site's use from ``first`` to ``last``, both included; days from ``on`` on aren't over."""
    return _uses(site, [(first, min(last, on - timedelta(days=1)))], on=on)[0]


def site_months(site: Site, *, months: int, on: date) -> list[Use]:
    """Return the use of a site's latest months up to yesterday, newest first; as many queries as for one.

    Months before the first of which anything is known are left out.
    """
    spans, last = [], on - timedelta(days=1)
    for _ in range(months):
        spans.append((last.replace(day=1), last))
        last = last.replace(day=1) - timedelta(days=1)
    found = _uses(site, spans, on=on)
    while len(found) > 1 and found[-1].estimated_l is None and found[-1].metered_l is None:
        found.pop()
    return found


def _uses(site: Site, spans: Sequence[tuple[date, date]], *, on: date) -> list[Use]:
    """Return the use of some spans. A site's meters are added up: each counts water of its own."""
    accounts = account_of([site.pk], on=on)
    meters = list(Meter.objects.filter(site=site))
    first, last = min(one[0] for one in spans), max(one[1] for one in spans)
    litres = np.zeros(max((last - first).days + 1, 0))
    daily = daily_litres([m.pk for m in meters], first=first, last=last, timezone=site.timezone)
    for meter in meters:
        litres = litres + daily[meter.pk]
    mixed = any(meter.mixed for meter in meters)
    return [_use(accounts, litres if meters else None, first, span, mixed=mixed) for span in spans]


def _use(
    accounts: Sequence[Account],
    litres: Floats | None,
    begin: date,
    span: tuple[date, date],
    *,
    mixed: bool,
) -> Use:
    first, last = span
    counted = [one for one in accounts if one.days.began[slice(*rows_between(one.days, first, last))].any()]
    estimated = sum(one.total(first, last).applied_l for one in counted) if counted else None
    days = max((last - first).days + 1, 0)
    if litres is None:
        return Use(first, last, estimated, None, 0, days)
    own = litres[(first - begin).days : (first - begin).days + days]
    known = np.isfinite(own)
    metered = float(own[known].sum()) if known.any() else None
    return Use(first, last, estimated, metered, int(known.sum()), days, mixed)
