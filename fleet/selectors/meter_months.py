"""What meters counted month by month, with how much of each month is known."""

from calendar import monthrange
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fleet.selectors.meter_use import daily_litres


@dataclass(frozen=True)
class MeterMonth:
    """One month of a meter: litres of the days that are known, and how many those are of how many so far."""

    first: date
    litres: float
    known_days: int
    days: int

    @property
    def whole(self) -> bool:
        """Tell whether every day so far is known."""
        return self.known_days == self.days


def months_of(
    meter_ids: Collection[int], *, on: date, months: int, timezone: str
) -> dict[int, list[MeterMonth]]:
    """Return the months up to the day before ``on``, oldest first, without those before anything is known."""
    firsts = [_months_before(on, n) for n in range(months - 1, -1, -1)]
    last = on - timedelta(days=1)
    if last < firsts[-1]:  # on the first of a month the month before is the newest
        firsts = [_months_before(last, n) for n in range(months - 1, -1, -1)]
    days = daily_litres(meter_ids, first=firsts[0], last=last, timezone=timezone)
    found: dict[int, list[MeterMonth]] = {}
    for pk, litres in days.items():
        rows, at = [], 0
        for first in firsts:
            count = min(monthrange(first.year, first.month)[1], (last - first).days + 1)
            part = litres[at : at + count]
            known = np.isfinite(part)
            rows.append(MeterMonth(first, float(part[known].sum()), int(known.sum()), count))
            at += count
        begin = next((n for n, row in enumerate(rows) if row.known_days), len(rows))
        found[pk] = rows[begin:]
    return found


def _months_before(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    return date(year, month + 1, 1)
