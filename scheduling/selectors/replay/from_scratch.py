"""A season for zones planned from scratch in spring: the test landscape, or zones from a file."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from scheduling.numerics.replay.foresight import Errors, Forecasts, made_wrong
from scheduling.selectors.replay.climate import Climate, season_weather
from scheduling.selectors.replay.living import Season
from scheduling.selectors.replay.planned import landing, planned
from scheduling.selectors.replay.plots import Plots


@dataclass(frozen=True)
class Planned:
    """A season ready to be lived through, what was foretold, and what should be said about it."""

    season: Season
    forecasts: Forecasts
    notes: list[str]


def planned_season(
    plots: Plots,
    climate: Climate,
    *,
    first: date,
    last: date,
    programs: int,
    days_per_week: int,
    errors: Errors,
    seed: int,
) -> Planned:
    """Plan zones for a season and lay it out, with the forecasts of every morning.

    The soil starts half full: half way to where stress begins. The plan, minutes at 100 percent and which
    zones share a program, is made from mean months of the climate, as from a climate table; no decision
    afterwards sees them.

    Raises
    ------
    ValueError
        If the climate doesn't cover the days, or an argument is out of range.
    """
    weather = season_weather(climate, first, last)
    days = (last - first).days + 1
    plan = planned(
        plots,
        month_et_mm=climate.month_means(),
        months=np.unique(weather.month[:days]),
        wetness=climate.rain_by_et,
        programs=programs,
        days_per_week=days_per_week,
    )
    season = Season(
        landscape=plan.landscape,
        starts=landing(first, count=len(weather.et_mm), days=plan.days),
        weather=weather,
        first=first,
        days=days,
        start_depletion_mm=0.5 * plots.raw_mm,
        zones=plots.names,
        programs=[f"program {chr(ord('A') + n)}" for n in range(plan.landscape.programs)],
    )
    forecasts = made_wrong(weather.et_mm, weather.rain_mm, errors, seed=seed, mornings=days)
    held = ", ".join(f"{name} {count}" for name, count in zip(season.programs, plan.days, strict=True))
    notes = [
        "The soil starts half way to where stress begins.",
        f"Days with water a week: {held}.",
        "Minutes and programs are planned from mean months of the weather file; decisions don't see them.",
        f"Forecasts are the weather that came, made wrong: {errors.words}; seed {seed}.",
    ]
    return Planned(season, forecasts, notes)
