"""Water a meter counted beside what valves were due: use in hours nothing was due, and zones' flows.

Bins are the meter's own intervals. Thresholds stand here, how they were set and how often they are wrong on
clean data in DEVELOPERS.md and tests/reports/measured/test_false_alarms.py.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

IDLE_L = 150.0  # a day, at hours nothing is due: what a hose tap or a test of a zone takes is less
IDLE_SHARE = 0.10  # of what a watering day takes
FLOW_TESTED = 0.20  # off from a flow that was measured
FLOW_RECKONED = 0.40  # off from a rate times an area
FEWEST_NIGHTS = 3  # before a zone's flow is told, by the middle one of them
LEAST_L = 40.0  # a night's water of a zone alone that can be told
BEYOND_SHARE, BEYOND_L = 0.5, 1_000.0  # over what was due, of a span whose hours nobody knows


@dataclass(frozen=True, slots=True)
class ZoneFlow:
    """A zone's water over what it was due, night by night, and how many nights that was told in."""

    ratio: float
    nights: int


def idle_litres(used_l: Floats, *, due: NDArray[np.bool_], day_of_bin: Ints, days: int) -> Floats:
    """Return the water of each day's bins in which nothing was due. [L]

    Parameters
    ----------
    used_l : ndarray, shape (bins,)
        What the meter counted, 0 or more, NaN where unknown. [L]
    due : ndarray of bool, shape (bins,)
        Whether a valve was due in a bin or close to it.
    day_of_bin : ndarray of int, shape (bins,)
        The day of each bin, 0 to days - 1.
    days
        How many days there are.

    Returns
    -------
    ndarray, shape (days,)
        NaN for a day some of whose bins are unknown.
    """
    idle = np.where(due, 0.0, used_l)
    return np.asarray(np.bincount(day_of_bin, weights=idle, minlength=days), dtype=np.float64)


def is_idle_use(idle_l: Floats, *, usual_l: float) -> NDArray[np.bool_]:
    """Tell on which days so much flowed while nothing was due that somebody should look.

    Parameters
    ----------
    idle_l : ndarray, shape (days,)
        Of ``idle_litres``. [L]
    usual_l
        What a watering day takes, 0 or more. [L]
    """
    return np.asarray(np.nan_to_num(idle_l) > max(IDLE_L, IDLE_SHARE * usual_l))


def zone_flows(used_l: Floats, expected_l: Floats, *, night_of_bin: Ints, nights: int) -> list[ZoneFlow]:
    """Return how each zone's water compares with what it was due, in bins far enough from other zones'.

    Clocks of controllers and meters differ by some minutes. So a bin tells of a zone only if no other is due
    in it or in the one before or after, and if the zone runs on through it, or begins and ends with a bin to
    spare.

    Parameters
    ----------
    used_l : ndarray, shape (bins,)
        What the meter counted, NaN where unknown; bins one after another. [L]
    expected_l : ndarray, shape (bins, zones)
        What each zone was due in each bin. [L]
    night_of_bin : ndarray of int, shape (bins,)
        The night of each bin, 0 to nights - 1.
    nights
        How many nights there are.

    Returns
    -------
    list of ZoneFlow, one a zone
        The middle of its nights' ratios; NaN where no night tells.
    """
    total = expected_l.sum(axis=1)
    found = []
    for zone in range(expected_l.shape[1]):
        own = expected_l[:, zone]
        found.append(_flow(used_l, own, _telling(own, total - own), night_of_bin, nights))
    return found


def whole_flow(used_l: Floats, expected_l: Floats, *, night_of_bin: Ints, nights: int) -> ZoneFlow:
    """Return the same for all zones together, whatever runs beside what."""
    total = expected_l.sum(axis=1)
    return _flow(used_l, total, _near(total > 0), night_of_bin, nights)


def _telling(own: Floats, others: Floats) -> NDArray[np.bool_]:
    """Tell in which bins a zone's water can be told from that of others, whatever a few minutes do."""
    alone = ~_near(others > 1e-9)
    full = own.max(initial=0.0)
    through = np.zeros_like(alone)
    through[1:-1] = (own[1:-1] >= 0.999 * full) & (np.minimum(own[:-2], own[2:]) >= 0.5 * full)
    tells = alone & through & (own > 0)
    close = alone & _near(own > 0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], close, [False]])))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        if own[start] == 0 and own[stop - 1] == 0:
            tells[start:stop] = True
    return tells


def _near(some: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell which bins are among some or beside one of them."""
    wide = some.copy()
    wide[1:] |= some[:-1]
    wide[:-1] |= some[1:]
    return wide


def _flow(
    used_l: Floats, due_l: Floats, tells: NDArray[np.bool_], night_of_bin: Ints, nights: int
) -> ZoneFlow:
    due = np.bincount(night_of_bin[tells], weights=due_l[tells], minlength=nights)
    got = np.bincount(night_of_bin[tells], weights=used_l[tells], minlength=nights)
    told = (due >= LEAST_L) & (got > 0)  # NaN tells nothing; none at all: a rain sensor, a valve shut by hand
    ratios = got[told] / due[told]
    return ZoneFlow(float(np.median(ratios)) if told.any() else float("nan"), int(told.sum()))


def is_flow_off(flow: ZoneFlow, *, tested: bool) -> bool:
    """Tell whether a zone takes so much more or less than it should that somebody should look."""
    apart = FLOW_TESTED if tested else FLOW_RECKONED
    return flow.nights >= FEWEST_NIGHTS and abs(flow.ratio - 1.0) > apart


def is_beyond(used_l: float, due_l: float) -> bool:
    """Tell whether a span counted so much more than was due that no schedule explains it."""
    return used_l - due_l > max(BEYOND_L, BEYOND_SHARE * due_l)
