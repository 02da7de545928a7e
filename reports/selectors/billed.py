"""What a site's bill goes by: the use its meter counted, and the days of its bills."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fleet.models import Meter, MeterBill
from fleet.selectors.meter_use import daily_litres

Floats = NDArray[np.float64]


@dataclass
class Billed:
    """What a whole site's meters counted by day, NaN where one isn't known, and the days of bills. [L]"""

    daily_l: Floats
    bills: list[tuple[date, date]] = field(default_factory=list)


def billed_use(site_ids: Sequence[int], *, first: date, last: date, timezone: str) -> dict[int, Billed]:
    """Return the metered use of sites that have a meter of all they take, in a fixed number of queries.

    Meters of a source or of some zones are left out: what else is on the bill they don't tell. Indoor use
    counts where the meter serves it, as it is on the bill.
    """
    rows = Meter.objects.filter(site__in=site_ids, source=None, zones=None)
    site_of = dict(rows.values_list("pk", "site"))
    if not site_of:
        return {}
    found: dict[int, Billed] = {}
    for meter, litres in daily_litres(list(site_of), first=first, last=last, timezone=timezone).items():
        one = found.setdefault(site_of[meter], Billed(np.zeros(litres.size)))
        one.daily_l = one.daily_l + litres
    bills = MeterBill.objects.filter(meter__in=site_of, last__gte=first, first__lte=last)
    for meter, begin, end in bills.order_by("first").values_list("meter", "first", "last"):
        found[site_of[meter]].bills.append((begin, end))
    return found
