"""The percent a night proposes, computed again from the stored inputs alone, step by step in plain Python."""

from datetime import timedelta
from typing import Any

import pytest

from scheduling.models import Change, Setting
from scheduling.services.decisions import approve
from scheduling.services.entering import apply
from scheduling.services.nightly import run_night
from tests.night.conftest import SkySource
from tests.night.garden import ON, TIMEZONE, garden

pytestmark = pytest.mark.django_db


def stress_by_hand(inputs: dict[str, Any], row: int) -> float:
    """J of one percent: worst zone's mean of max(0, D - m RAW) / RAW; FAO-56 eqs. 84 to 88 day by day."""
    worst = 0.0
    for unit in inputs["units"]:
        taw, raw, total = unit["taw_mm"], unit["raw_mm"], 0.0
        depletion = min(unit["start_mm"], taw)
        for day, weather in enumerate(inputs["days"]):
            water = unit["fixed_mm"][day]
            for run in unit["runs"]:
                net = run["net_mm"][row] if day >= inputs["first_day"] else run["kept_net_mm"]
                water += run["starts"][day] * net
            depletion = max(0.0, depletion - water)
            depletion = max(0.0, depletion - weather["rain_effective_mm"])
            ks = min(1.0, max(0.0, (taw - depletion) / (taw - raw)))
            depletion = min(taw, depletion + ks * unit["et_mm"][day])
            if inputs["first_day"] <= day <= inputs["last_day"]:
                total += max(0.0, depletion - inputs["margin"] * raw) / raw
        worst = max(worst, total / (inputs["last_day"] - inputs["first_day"] + 1))
    return worst


def worst_day_by_hand(inputs: dict[str, Any], row: int) -> float:
    """Return the share by which growth is slowed at the end of the worst day of the worst zone."""
    worst = -1.0
    for unit in inputs["units"]:
        taw, raw = unit["taw_mm"], unit["raw_mm"]
        depletion = min(unit["start_mm"], taw)
        for day, weather in enumerate(inputs["days"]):
            acts = day >= inputs["first_day"]
            water = unit["fixed_mm"][day] + sum(
                run["starts"][day] * (run["net_mm"][row] if acts else run["kept_net_mm"])
                for run in unit["runs"]
            )
            depletion = max(0.0, max(0.0, depletion - water) - weather["rain_effective_mm"])
            ks = min(1.0, max(0.0, (taw - depletion) / (taw - raw)))
            depletion = min(taw, depletion + ks * unit["et_mm"][day])
            if inputs["first_day"] <= day <= inputs["last_day"]:
                worst = max(worst, (depletion - raw) / (taw - raw))
    return worst


def percent_by_hand(inputs: dict[str, Any]) -> int:
    """Return the smallest allowed percent that can be borne or does about as well as any."""
    stress = [stress_by_hand(inputs, row) for row in range(len(inputs["percents"]))]
    allowed = [row for row, may in enumerate(inputs["allowed"]) if may]
    good = min(stress[row] for row in allowed) + inputs["tolerance"]
    chosen = next(
        row
        for row in allowed
        if stress[row] <= good
        or (stress[row] <= inputs["bearable"] and worst_day_by_hand(inputs, row) <= 0.2)
    )
    return int(inputs["percents"][chosen])


def net_by_hand(unit: dict[str, Any], run: dict[str, Any], percent: int) -> float:
    """Net depth of one start: minutes rounded as the controller rounds, cycle by cycle over the pond."""
    minutes = int(run["minutes"] * percent / 100 / run["minute_step"] + 0.5 + 1e-9) * run["minute_step"]
    landed = pond = lost = 0.0
    while minutes > 1e-9:
        cycle = min(minutes, run["cycle"] or minutes)
        minutes -= cycle
        wetting = cycle if cycle >= 3 else 0.0
        landed += wetting * unit["rate_mm_h"] / 60
        pond = max(
            0.0, pond + (unit["ground_share"] * unit["rate_mm_h"] - unit["intake_mm_h"]) * wetting / 60
        )
        lost += max(0.0, pond - unit["surface_mm"])
        pond = max(0.0, min(pond, unit["surface_mm"]) - unit["intake_mm_h"] * run["soak"] / 60)
    return unit["usable"] * (unit["ground_share"] * landed - lost)


@pytest.mark.parametrize(("minutes", "percent"), [(40, 100), (25, 100), (70, 160), (40, 30)])
def test_the_percent_follows_from_the_stored_inputs(sky: SkySource, minutes: int, percent: int) -> None:
    place = garden(minutes=minutes, percent=percent, zones=2)
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.get(program=place.program, kind="percent")
    assert change.proposed == percent_by_hand(change.inputs)
    for row, stress in enumerate(change.inputs["stress"]):
        assert stress == pytest.approx(stress_by_hand(change.inputs, row), abs=1e-9)


def test_the_net_depths_follow_from_the_survey(sky: SkySource) -> None:
    place = garden(minutes=47, percent=70)
    run_night(on=ON, timezone=TIMEZONE)
    inputs = Change.objects.get(program=place.program).inputs
    unit = inputs["units"][0]
    for row, percent in enumerate(inputs["percents"]):
        assert unit["runs"][0]["net_mm"][row] == pytest.approx(
            net_by_hand(unit, unit["runs"][0], percent), abs=1e-9
        )


def test_the_survey_reaches_the_inputs_as_the_tables_say(sky: SkySource) -> None:
    """Loam: 0.17 in/in and 50 % (IA 2005); cool turf July 0.94 (UC); DU 0.7: RTM 1/(0.4+0.6*0.7) = 1.2195."""
    place = garden(minutes=47, percent=70)
    run_night(on=ON, timezone=TIMEZONE)
    unit = Change.objects.get(program=place.program).inputs["units"][0]
    assert unit["taw_mm"] == pytest.approx(0.17 * 300)
    assert unit["raw_mm"] == pytest.approx(0.17 * 300 * 0.5)
    assert unit["kl"] == pytest.approx(0.94)
    assert unit["usable"] == pytest.approx(0.82)
    assert unit["ground_share"] == 0.95


def test_the_next_night_plans_from_what_was_applied(sky: SkySource) -> None:
    place = garden(minutes=25, percent=100)
    run_night(on=ON, timezone=TIMEZONE)
    first = Change.objects.get(program=place.program, kind="percent")
    other = first.proposed - 40
    approve(change=first, by=place.owner, value=other)
    apply(change=first, by=place.owner, applied_on=ON)
    assert Setting.objects.get(program=place.program, effective_from=ON).percent == other
    run_night(on=ON + timedelta(days=8), timezone=TIMEZONE)  # past the week a choice is respected
    second = Change.objects.filter(program=place.program, kind="percent").latest("id")
    assert second.pk != first.pk
    assert second.current == other
    assert second.proposed == percent_by_hand(second.inputs)
    run = second.inputs["units"][0]["runs"][0]
    assert run["kept_net_mm"] == pytest.approx(net_by_hand(second.inputs["units"][0], run, other), abs=1e-9)
