"""A season scored as the published test protocol of weather-based scheduling does, in every reading of it.

Windows of thirty days, a balance between empty and the root zone's working storage, adequacy from what the
plants went without, excess from what drained or ran off. Where the text is ambiguous both readings are
scored, and a window passes only if it does in all of them. This is our reading, from memory; not a
certification.

The protocol tests a scheduler from the day its virtual soil is set to a start. Windows that overlap cut into
a season whose soil stands elsewhere, so beside the two starts of the text each window is also scored from
where the season's own balance stood.

References
----------
.. [1] SWAT (2008), Climatologically based controllers, 8th testing protocol (from memory).
.. [2] EPA WaterSense specification for weather-based irrigation controllers 1.0 (2011), pass criteria (from
   memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from fleet.numerics.ranges import Floats, above_zero
from scheduling.numerics.units import Bools

WINDOW_DAYS = 30
RAIN_SHARE = 0.8
LEAST_ADEQUACY = 0.80  # of every zone
MOST_EXCESS = 0.10  # of every zone
MOST_MEAN_EXCESS = 0.05
LEAST_RAIN_MM = 0.40 * 25.4
LEAST_ET_MM = 2.50 * 25.4

Cycles = Sequence[tuple[float, float]]  # minutes, and the soak after them


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read the text.

    ``by_need`` excess is a share of the plants' ET, else of net irrigation and runoff; ``rain_first`` rain
    fills the soil before irrigation; ``whole_rate`` minutes beyond the longest cycle run off at the whole
    precipitation rate, else at what the soil doesn't take; ``start_share`` of the working storage that is
    full at the start of a window, None for as much as the season left by then.
    """

    by_need: bool
    rain_first: bool
    whole_rate: bool
    start_share: float | None


READINGS = [
    Reading(*choices) for choices in product((False, True), (True, False), (False, True), (0.5, 1.0, None))
]


@dataclass(frozen=True, slots=True)
class Ground:
    """One value a zone, (zones,): working storage [mm], rate and intake [mm/h], accumulation [mm], efficiency
    [-]."""

    storage_mm: Floats
    rate_mm_h: Floats
    intake_mm_h: Floats
    accumulation_mm: Floats
    efficiency: Floats


@dataclass(frozen=True, slots=True)
class Watered:
    """What was put on each zone each day and ran off, (days, zones). [mm]"""

    gross_mm: Floats
    direct_mm: Floats
    direct_whole_mm: Floats
    soak_mm: Floats


@dataclass(frozen=True, slots=True)
class Windows:
    """Scores of windows, (windows, zones): adequacy and excess as ratios; ``end_mm`` balance at the end."""

    adequacy: Floats
    excess: Floats
    end_mm: Floats

    @property
    def passes(self) -> Bools:
        """Tell which windows meet the pass criteria, (windows,)."""
        every = (self.adequacy >= LEAST_ADEQUACY).all(axis=1) & (self.excess <= MOST_EXCESS).all(axis=1)
        return np.asarray(every & (self.excess.mean(axis=1) <= MOST_MEAN_EXCESS))


def watered(events: Sequence[Sequence[Cycles]], ground: Ground) -> Watered:
    """Book the water of each day and zone: what was applied, and what ran off of it.

    The pond fills at ``PR - IR`` during a cycle and drains at IR in a soak. What a cycle would have lost on
    dry ground is direct runoff, the rest is lost to the pond of the one before it.

    Parameters
    ----------
    events
        Cycles by day and zone.
    ground : Ground
        One value a zone.
    """
    shape = len(events), ground.rate_mm_h.size
    book = Watered(*(np.zeros(shape) for _ in range(4)))
    fill = ground.rate_mm_h - ground.intake_mm_h
    for day, zones in enumerate(events):
        for zone, cycles in enumerate(zones):
            pond = soaked = 0.0
            for minutes, soak in cycles:
                pond = max(0.0, pond - soaked)
                rises = max(0.0, fill[zone] * minutes / 60.0)
                over = max(0.0, pond + rises - ground.accumulation_mm[zone])
                alone = max(0.0, rises - ground.accumulation_mm[zone])
                direct = min(over, alone)
                book.gross_mm[day, zone] += ground.rate_mm_h[zone] * minutes / 60.0
                book.direct_mm[day, zone] += direct
                book.direct_whole_mm[day, zone] += direct * (
                    ground.rate_mm_h[zone] / fill[zone] if fill[zone] > 0 else 0.0
                )
                book.soak_mm[day, zone] += over - direct
                pond = min(pond + rises, ground.accumulation_mm[zone])
                soaked = ground.intake_mm_h[zone] * soak / 60.0
    return book


def scored(
    reading: Reading,
    ground: Ground,
    *,
    et_mm: Floats,
    rain_mm: Floats,
    water: Watered,
    days: int = WINDOW_DAYS,
) -> Windows:
    """Score every overlapping window of a season by one reading.

    Parameters
    ----------
    reading : Reading
        How to read the text.
    ground : Ground
        One value a zone.
    et_mm : ndarray, shape (days, zones)
        ET of a planting never short of water. [mm]
    rain_mm : ndarray, shape (days,)
        Rain that fell. [mm]
    water : Watered
        What was put on.
    days : int
        Length of a window, 1 to all days.

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    if not 1 <= days <= len(et_mm):
        raise ValueError(f"days is {days}, accepted range 1 to {len(et_mm)}")
    storage = above_zero("storage_mm", ground.storage_mm)
    ran_off = (water.direct_whole_mm if reading.whole_rate else water.direct_mm) + water.soak_mm
    net = np.maximum(water.gross_mm - ran_off, 0.0) * ground.efficiency
    starts = np.arange(len(et_mm) - days + 1)
    balance = _starts(reading, storage, et_mm=et_mm, rain_mm=rain_mm, net_mm=net)[: starts.size]
    short, surplus = np.zeros_like(balance), np.zeros_like(balance)
    for n in range(days):
        day = starts + n
        balance, lacked, drained = _day(
            reading, balance, storage, et=et_mm[day], rain=rain_mm[day, np.newaxis], net=net[day]
        )
        short += lacked
        surplus += drained
    need = _sums(et_mm, days)
    lost = surplus + ground.efficiency * _sums(ran_off, days)
    required = need if reading.by_need else _sums(net, days) + ground.efficiency * _sums(ran_off, days)
    with np.errstate(invalid="ignore", divide="ignore"):
        return Windows(
            adequacy=np.where(need > 0, (need - short) / need, 1.0),
            excess=np.where(required > 0, lost / required, 0.0),
            end_mm=balance,
        )


def _day(
    reading: Reading, balance: Floats, storage: Floats, *, et: Floats, rain: Floats, net: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return the balance a day later, what the plants went without and what irrigation drained."""
    balance = balance - et
    credited = RAIN_SHARE * rain
    if reading.rain_first:
        balance = balance + np.clip(storage - balance, 0.0, credited)
    balance = balance + net
    drained = np.maximum(balance - storage, 0.0)
    balance = np.minimum(balance, storage)
    if not reading.rain_first:
        balance = balance + np.clip(storage - balance, 0.0, credited)
    return np.maximum(balance, 0.0), np.maximum(-balance, 0.0), drained


def _starts(reading: Reading, storage: Floats, *, et_mm: Floats, rain_mm: Floats, net_mm: Floats) -> Floats:
    """Return the balance each day begins with as a window's first, (days, zones)."""
    if reading.start_share is not None:
        return np.broadcast_to(reading.start_share * storage, et_mm.shape).copy()
    begins = np.empty_like(et_mm)
    balance = 0.5 * storage
    for day in range(len(et_mm)):
        begins[day] = balance
        balance, _, _ = _day(reading, balance, storage, et=et_mm[day], rain=rain_mm[day], net=net_mm[day])
    return begins


def counts(*, reference_et_mm: Floats, rain_mm: Floats, days: int = WINDOW_DAYS) -> Bools:
    """Tell which windows are valid: enough rain and enough reference ET, (windows,)."""
    return np.asarray((_sums(rain_mm, days) >= LEAST_RAIN_MM) & (_sums(reference_et_mm, days) >= LEAST_ET_MM))


def _sums(values: Floats, days: int) -> Floats:
    """Return the sum of every window along the first axis."""
    total = np.concatenate([np.zeros((1, *values.shape[1:])), np.cumsum(values, axis=0)])
    return np.asarray(total[days:] - total[:-days])
