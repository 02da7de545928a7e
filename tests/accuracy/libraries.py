"""Other libraries on the same inputs, each with the largest difference from ours."""

from dataclasses import dataclass

import numpy as np

from scheduling.numerics.replay.least_water import least_water
from tests.scheduling.numerics import test_against_pyfao56
from tests.scheduling.numerics.replay.test_least_water import by_solver
from tests.weather.numerics import test_greensboro, test_hourly
from tests.weather.numerics.other_libraries import by_pyet, by_refet
from weather.numerics.hourly import FAO_56, hourly_reference_et
from weather.numerics.reference_et import daily_reference_et


@dataclass(frozen=True)
class Beside:
    """One comparison: ``largest`` difference of one value, and what makes it."""

    what: str
    library: str
    values: int
    largest: float
    unit: str
    why: str


def beside() -> list[Beside]:
    """Compute every comparison."""
    return [*_daily(), _hourly(), _hourly_fao(), _balance(), _least()]


def _daily() -> list[Beside]:
    days = test_greensboro.year()
    ours, _ = daily_reference_et(**days)
    return [
        Beside(
            "Daily reference ET, Greensboro, TMY3",
            name,
            ours.size,
            float(np.abs(ours - library(days)).max()),
            "mm/d",
            "calm days (we take 0.5 m/s of wind at the least, FAO-56 chapter 3) and a foggy one",
        )
        for name, library in (("refet", by_refet), ("pyet", by_pyet))
    ]


def _hourly() -> Beside:
    hours = test_hourly.year()
    high = (test_hourly.sun_heights(hours, at=0.0) >= 0.3) & (test_hourly.sun_heights(hours, at=0.5) >= 0.3)
    apart = np.abs(hourly_reference_et(**hours)[:, 0] - test_hourly.by_refet(hours))
    return Beside(
        "Hourly reference ET, Greensboro, hours of high sun",
        "refet",
        int(high.sum()),
        float(apart[high].max()),
        "mm/h",
        f"rounding; with a low sun and at night {apart.max():.2f} mm, since refet takes that sky for clear",
    )


def _hourly_fao() -> Beside:
    hours = test_hourly.year()
    high = test_hourly.sun_heights(hours, at=0.5) >= 0.3
    apart = np.abs(hourly_reference_et(**hours, form=FAO_56)[:, 0] - test_hourly.by_eto(hours))
    return Beside(
        "Hourly reference ET, FAO-56 form, Greensboro, hours of high sun",
        "eto",
        int(high.sum()),
        float(apart[high].max()),
        "mm/h",
        f"rounding; with a low sun and at night {apart.max():.2f} mm, clouds being told from other hours",
    )


def _balance() -> Beside:
    weather = test_against_pyfao56.invented_weather()
    theirs = test_against_pyfao56.by_pyfao56(*weather)["Dr"].to_numpy(dtype=float)
    _, ours = test_against_pyfao56.by_us(*weather)
    return Beside(
        "Depletion day by day of one zone, stress and drainage in it",
        "pyfao56",
        ours.size,
        float(np.abs(ours - theirs).max()),
        "mm",
        "rounding; comparable is one layer with coefficient, roots and allowed depletion held fixed, soil "
        "evaporation and runoff off, and its day's water taken on our next morning",
    )


def _least() -> Beside:
    rng = np.random.default_rng(29)
    largest, compared = 0.0, 0
    for _ in range(100):
        days, raw = int(rng.integers(5, 60)), float(rng.uniform(5, 40))
        et, rain = rng.uniform(0, 7, days), rng.exponential(2, days)
        may = rng.random(days) < 0.6
        state = {"start": float(rng.uniform(0, raw)), "end": float(rng.uniform(0, raw)), "raw": raw}
        least = by_solver(et, rain, may, **state)
        if least is None:
            continue
        ours = least_water(
            et_mm=et[:, np.newaxis],
            rain_mm=rain[:, np.newaxis],
            may_water=may[:, np.newaxis],
            start_depletion_mm=np.array([state["start"]]),
            end_depletion_mm=np.array([state["end"]]),
            taw_mm=np.array([2 * raw]),
            raw_mm=np.array([raw]),
        ).sum()
        compared += 1
        largest = max(largest, abs(float(ours) - least))
    return Beside("Least water of a season", "scipy, linprog", compared, largest, "mm", "rounding")
