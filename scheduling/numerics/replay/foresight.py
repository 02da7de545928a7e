"""Forecasts as they might have been issued each morning: the weather that came, made wrong as stated."""

from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats, within
from weather.numerics.earned import earned_share

FORECAST_DAYS = 7  # today and the six after it
LEADS = (1, 3)  # days ahead whose rain forecasts are compared with what came
LOOK_BACK_DAYS = 180
FALSE_ALARM_MM = 5.0  # our choice
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Errors:
    """How wrong forecasts are.

    ``rain_hit`` share of rainy days that are foretold, 0 to 1; ``amount_spread`` s of the factor
    ``e^N(0, s)`` on a foretold amount, 0 or more; ``false_alarm`` share of dry days foretold as rainy, 0 to
    1; ``et_spread`` s of the factor ``1 + N(0, s)`` on reference ET, 0 or more. ``lasting`` whether a day is
    foretold alike wrong every morning; otherwise each morning errs anew.
    """

    rain_hit: float = 0.75
    amount_spread: float = 0.5
    false_alarm: float = 0.05
    et_spread: float = 0.12
    lasting: bool = False

    @property
    def words(self) -> str:
        """Return how wrong, in words."""
        return (
            f"rain foretold on {self.rain_hit:.0%} of rainy days and on {self.false_alarm:.0%} of dry ones, "
            f"{_amount_words(self.amount_spread)}, ET mostly within {self.et_spread:.0%}, "
            f"{'alike every morning' if self.lasting else 'anew each morning'}"
        )


def _amount_words(spread: float) -> str:
    """Return how wrong a foretold amount is: two of three fall within one spread of a log-normal."""
    if not spread:
        return "its amount right"
    return f"its amount two times in three between {exp(-spread):.2g} and {exp(spread):.2g} times what fell"


NONE = Errors(rain_hit=1.0, amount_spread=0.0, false_alarm=0.0, et_spread=0.0)


@dataclass(frozen=True, slots=True)
class Forecasts:
    """What was foretold on each morning: reference ET and rain, (mornings, FORECAST_DAYS, cells), for that
    day and the six after it [mm]; ``credit`` the share of its rain the source has earned by then,
    (mornings, cells) [-]."""

    et_mm: Floats
    rain_mm: Floats
    credit: Floats


def made_wrong(et_mm: Floats, rain_mm: Floats, errors: Errors, *, seed: int, mornings: int) -> Forecasts:
    """Issue a forecast on each of the first ``mornings`` days.

    A false alarm foretells 5 mm, made wrong like any other amount.

    Parameters
    ----------
    et_mm, rain_mm : ndarray, shape (days, cells)
        The weather that came, at least six days longer than ``mornings``, 0 or more. [mm]
    errors : Errors
        How wrong.
    seed : int
        Of the random numbers; the same seed gives the same forecasts.
    mornings : int
        Days on which a forecast is issued.

    Raises
    ------
    ValueError
        If an argument is out of range or the weather too short.
    """
    for name in ("rain_hit", "false_alarm"):
        within(name, getattr(errors, name), high=1.0)
    within("amount_spread", errors.amount_spread)
    within("et_spread", errors.et_spread)
    if len(et_mm) < mornings + FORECAST_DAYS - 1:
        raise ValueError(
            f"the weather has {len(et_mm)} days, accepted {mornings + FORECAST_DAYS - 1} or more"
        )
    target = np.arange(mornings)[:, np.newaxis] + np.arange(FORECAST_DAYS)
    shape = et_mm.shape if errors.lasting else (*target.shape, et_mm.shape[1])
    drawn = _drawn(shape, errors, seed=seed)
    hit, factor, alarm, warmth = (draw[target] if errors.lasting else draw for draw in drawn)
    came = rain_mm[target]
    rain = np.where(
        came > 0, np.where(hit, came * factor, 0.0), np.where(alarm, FALSE_ALARM_MM * factor, 0.0)
    )
    return Forecasts(
        et_mm=np.maximum(et_mm[target] * warmth, 0.0),
        rain_mm=rain,
        credit=earned_by(rain, came_mm=rain_mm[: mornings + FORECAST_DAYS - 1]),
    )


def _drawn(shape: tuple[int, ...], errors: Errors, *, seed: int) -> tuple[Bools, Floats, Bools, Floats]:
    rng = np.random.default_rng(seed)
    return (
        rng.random(shape) < errors.rain_hit,
        np.exp(rng.normal(0.0, errors.amount_spread, shape)),
        rng.random(shape) < errors.false_alarm,
        1.0 + rng.normal(0.0, errors.et_spread, shape),
    )


def earned_by(foretold_mm: Floats, *, came_mm: Floats) -> Floats:
    """Share of its rain a source has earned by each morning, from the days before it alone.

    Parameters
    ----------
    foretold_mm : ndarray, shape (mornings, FORECAST_DAYS, cells)
        Rain as foretold, NaN where nothing was. [mm]
    came_mm : ndarray, shape (days, cells)
        Rain that fell, as many days as mornings or more. [mm]

    Returns
    -------
    ndarray, shape (mornings, cells)
        See ``weather.numerics.earned``. [-]
    """
    mornings, _, cells = foretold_mm.shape
    said, fell = np.zeros((mornings, cells)), np.zeros((mornings, cells))
    known = np.zeros((mornings, cells))
    for lead in range(LEADS[0], LEADS[1] + 1):
        rows = foretold_mm[: max(mornings - lead, 0), lead]  # issued on a morning for ``lead`` days later
        rained = rows > 0
        said[lead:] += np.where(rained, rows, 0.0)
        fell[lead:] += np.where(rained, came_mm[lead:mornings], 0.0)
        known[lead:] = np.maximum(known[lead:], rained)
    before = [_sum_before(column) for column in (fell, said, known)]
    return earned_share(before[0], before[1], days=before[2])


def _sum_before(column: Floats) -> Floats:
    """Add up each row's ``LOOK_BACK_DAYS`` rows before it, (mornings, cells)."""
    total = np.concatenate([np.zeros((1, column.shape[1])), np.cumsum(column, axis=0)])
    rows = np.arange(len(column))
    return np.asarray(total[rows] - total[np.maximum(rows - LOOK_BACK_DAYS, 0)])
