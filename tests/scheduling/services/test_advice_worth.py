"""What advice says it saves is what the change made from it does, and what the controller would really run.

The figures are reckoned once, so both agree to the tenth of a litre they are stored to. Beside it the average
week is counted here by hand, date by date over a year, from what the programs hold before and after.
"""

from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from fleet.models import Zone
from scheduling.models import Advice, Change, Program, ZoneRun
from scheduling.models.detail import Holds
from scheduling.numerics.run_times import minutes_at
from scheduling.selectors.advice import WEEKS_A_YEAR
from scheduling.services.advising import advise, open_sites
from scheduling.services.proposing import propose
from tests.night.garden import ON, Garden, zone
from tests.scheduling.services import altered

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


def litres_a_week(held: Holds | None, *, first: date) -> float:
    """Count a year of dates at the percent a program holds, of which a week is a 52nd."""
    if held is None:
        return 0.0
    program = Program(days=held.days, starts=list(held.starts), letter="?", effective=first)
    dates = (first + timedelta(days=n) for n in range(364))
    starts = sum(program.waters_on(day) for day in dates) * len(held.starts)
    zones = Zone.objects.in_bulk([run.zone for run in held.runs])
    minutes = minutes_at([held.percent / 100], [run.minutes for run in held.runs], 1.0)[0]
    per_start = sum(
        float(long) / 60 * zones[run.zone].precipitation_rate_mm_h * zones[run.zone].area_m2
        for run, long in zip(held.runs, minutes, strict=True)
    )
    return starts * per_start / 52


def agrees(line: Advice, change: Change) -> None:
    assert line.litres_week == pytest.approx(-change.effect_litres, abs=0.1)
    by_hand = sum(
        litres_a_week(one.after, first=ON) - litres_a_week(one.before, first=ON)
        for one in change.altered.programs
    )
    assert change.effect_litres == pytest.approx(by_hand, abs=1.0)
    if line.money_year is not None:
        per_litre = float(line.controller.site.tariff.price_per_m3) / 1000
        year = -change.effect_litres * WEEKS_A_YEAR * per_litre
        assert float(line.money_year) == pytest.approx(year, abs=0.02)


def any_garden(settings: Any, seed: int) -> Garden:
    """Return a garden with something wrong: days, soils, depths, speeds and percents as they come."""
    chance = Random(seed)
    of = altered.heron(
        settings,
        zones=3,
        days=chance.choice(["mon thu", "odd", "even", "mon wed fri sun", "daily"]),
        starts=chance.choice([("03:00",), ("21:30",), ("02:00", "04:30")]),
        percent=chance.choice([60, 85, 100, 140]),
        minutes=float(chance.choice([18, 30, 44])),
    )
    altered.change_zone(of.zones[0], soil=chance.choice(["sand", "clay", "loam"]))
    altered.change_zone(of.zones[1], precipitation_rate_mm_h=chance.choice([7.0, 40.0]))
    altered.change_zone(of.zones[2], plant="shrubs", root_depth_mm=chance.choice([600, 1200]))
    if chance.random() < 0.5:
        beds = zone(of.controller, 4, plant="shrubs", root_depth_mm=900, name="Sage")
        other = Program.objects.create(
            controller=of.controller, letter="B", days=chance.choice(["even", "sun"]), starts=["22:00"],
            effective=of.program.effective,
        )  # fmt: skip
        ZoneRun.objects.create(program=other, zone=beds, minutes=40)
    Change.objects.create(
        program=of.program, kind="percent", current=100, proposed=140, effective_from=ON, reason="Dry.",
        deciding_zone=of.zones[1], inputs={"percent_without_deciding": 100},
    )  # fmt: skip
    return of


@pytest.mark.parametrize("seed", range(8))
def test_the_change_made_from_advice_does_what_the_advice_says(settings, seed):
    of = any_garden(settings, seed)
    advise(open_sites(), on=ON)
    lines = list(Advice.objects.exclude(becomes="").select_related("controller__site__tariff"))
    assert lines
    for line in lines:
        change = propose(advice=line, by=of.owner).change
        assert change.kind in ("minutes", "days", "program")
        line.refresh_from_db()
        agrees(line, change)
        line.change = None
        line.save()
        change.delete()


def test_a_zone_that_moves_while_its_nights_are_skipped_still_saves(settings):
    """A skip of these days is no reason to promise less, or more, for the years to come."""
    of = altered.heron(settings)
    of.program.skips.create(effective_from=ON, effective_to=ON + WEEK, reason="rain")
    line = altered.among_lawns(of)
    change = altered.proposed(line, of).change
    agrees(line, change)
    assert change.effect_litres < 0
