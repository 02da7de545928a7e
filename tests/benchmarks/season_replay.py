"""How long a season takes to live through again: ``python -m tests.benchmarks.season_replay``.

Every night of every program is decided, with the search and the skip check of the nightly run. Beside it the
season's balance alone, with percents that are given, on the same zones.
"""

from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from typing import Any

import numpy as np

from scheduling.numerics.replay.days import live_through
from scheduling.numerics.replay.foresight import Errors, made_wrong
from scheduling.numerics.replay.joined import joined
from scheduling.numerics.replay.rules import NIGHTLY
from scheduling.selectors.replay.from_scratch import planned_season
from scheduling.selectors.replay.living import Season, replayed
from scheduling.selectors.replay.six_zones import six_zones
from scheduling.selectors.replay.unknowns import taken_wrong
from tests.benchmarks.timing import best_of
from tests.scheduling.selectors.replay.stations import stations

DAYS = 365


def one_site(days: int) -> Any:
    """Return a season of six zones in three programs."""
    station = stations()[3]
    first = date(2013, 1, 1)
    return planned_season(
        six_zones(),
        station.climate,
        first=first,
        last=first + timedelta(days=days - 1),
        programs=3,
        days_per_week=7,
        errors=Errors(),
        seed=1,
    )


def many(season: Season, sites: int) -> Season:
    """Return the same landscape many times over, each with programs of its own."""
    return replace(
        season,
        landscape=joined([season.landscape] * sites),
        starts=np.tile(season.starts, (1, sites)),
        start_depletion_mm=np.tile(season.start_depletion_mm, sites),
        zones=season.zones * sites,
        programs=season.programs * sites,
    )


def live(season: Season, *, decided: bool) -> None:
    landscape = season.landscape
    forecasts = made_wrong(
        season.weather.et_mm, season.weather.rain_mm, Errors(), seed=1, mornings=season.days
    )
    live_through(
        landscape,
        starts=season.starts,
        weather=season.weather,
        days=season.days,
        start_depletion_mm=season.start_depletion_mm,
        first_percent=np.full(landscape.groups, 100),
        rules=NIGHTLY if decided else None,
        forecasts=forecasts if decided else None,
    )


def as_on_the_page(season: Season) -> None:
    forecasts = made_wrong(
        season.weather.et_mm, season.weather.rain_mm, Errors(), seed=1, mornings=season.days
    )
    found = replayed(season, rules=NIGHTLY, forecasts=forecasts)
    taken_wrong(season, rules=NIGHTLY, forecasts=forecasts, right=found.decided)


def main() -> None:
    planned = one_site(220)
    took = best_of(partial(replayed, planned.season, rules=NIGHTLY, forecasts=planned.forecasts), times=3)
    print(f"one site, 6 zones x 220 nights, with everything beside it: {took:.2f} s")
    for sites in (1, 67):
        took = best_of(partial(as_on_the_page, many(one_site(183).season, sites)), times=1)
        print(f"a site's page, {6 * sites} zones x 183 nights, with errors in what is assumed: {took:.2f} s")
    year = one_site(DAYS).season
    times = {}
    for sites in (1, 17, 167, 667):
        season = many(year, sites)
        zones = season.landscape.zones
        times[zones] = best_of(partial(live, season, decided=True), times=3 if sites < 100 else 1)
        alone = best_of(partial(live, season, decided=False), times=3 if sites < 100 else 1)
        print(
            f"{zones:>5,} zones, {season.landscape.programs:>5,} programs x {DAYS} nights decided: "
            f"{times[zones]:6.2f} s, {zones * DAYS / times[zones] / 1e3:5,.0f} thousand zone-nights a "
            f"second, {times[zones] / alone:4.1f} times the balance alone"
        )
    few, much = 102, 4_002
    print(
        f"growth from {few} to {much:,} zones ({much / few:.0f} times): {times[much] / times[few]:.0f} times"
    )


if __name__ == "__main__":
    main()
