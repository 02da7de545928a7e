"""Advice becomes a change: once, with its effect, from what its program holds by now, by whom it may."""

from datetime import time
from decimal import Decimal
from math import ceil

import pytest

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Membership, User, WateringRule
from fleet.numerics.landscape_coefficient import landscape_coefficient
from scheduling.models import Advice, Change, Program, ZoneRun
from scheduling.services.advising import advise, open_sites
from scheduling.services.alteration_effect import moved_percent
from scheduling.services.decisions import decline
from scheduling.services.programs import edit_program
from scheduling.services.proposing import propose
from tests.night.garden import ON, Garden, zone
from tests.scheduling.services import altered
from tests.scheduling.services.altered import proposed

pytestmark = pytest.mark.django_db


def settled(of: Garden) -> None:
    """Let somebody have found the soil as moist as it usually is."""
    for one in of.zones:
        one.soil_observations.create(date=ON, depletion_share=0.25)


@pytest.fixture
def heron(settings) -> Garden:
    return altered.heron(settings)


def test_longer_runs_for_one_zone_worked_by_hand(heron: Garden):
    altered.held_at_100(heron)
    change = proposed(altered.driven(heron), heron).change
    assert (change.kind, change.status, change.program) == ("minutes", "pending", heron.program)
    [one] = change.altered.programs
    assert [run.minutes for run in one.before.runs] == [36, 36]
    assert [run.minutes for run in one.after.runs] == [51, 36]
    # 15 minutes at 12 / 1.4 mm/h are 2.143 mm on 200 m2: 428.6 L, four times from Wednesday to Tuesday
    assert change.effect_litres == pytest.approx(4 * 200 * 15 / 60 * 12 / 1.4, abs=0.1)
    assert change.effect_money == Decimal("2.57")
    assert (change.current, change.proposed, change.decided) == (100, 100, None)
    assert change.deciding_zone == heron.zones[0]
    assert change.inputs["advice"]["kind"] == "one zone drives"
    assert "15 minutes more for it free 40 points" in change.reason
    kept, then = (change.inputs["traces"][str(heron.zones[0].pk)][name] for name in ("keep", "change"))
    assert kept[0] == then[0]
    assert then[1] < kept[1]
    assert change.events.get().note == "Proposed from advice."


def test_with_longer_runs_the_percent_comes_down_for_all(settings):
    """A slow head sets the percent of its program; with minutes of its own the other zone is spared water."""
    heron = altered.heron(settings, days="daily", percent=140)
    settled(heron)
    change = proposed(altered.driven(heron), heron).change
    assert change.current == 140
    assert 95 <= change.proposed <= 110
    assert change.altered.programs[0].after.percent == change.proposed
    assert change.effect_litres < 0


@pytest.mark.parametrize(
    ("current", "was", "then", "percent"),
    [
        (140, 140, 100, 100),  # it frees 40 points
        (100, 140, 100, 100),  # they were never given
        (120, 140, 100, 100),
        (200, 140, 100, 160),  # what is too much besides is the next night's to say
        (140, 75, 75, 140),
        (100, 90, 110, 110),
        (120, 90, 110, 120),
        (60, 90, 110, 80),
    ],
)
def test_a_percent_moves_by_what_the_alteration_frees_or_costs(current, was, then, percent):
    assert moved_percent(current, was=was, then=then) == percent


def test_more_days(heron: Garden):
    change = proposed(altered.dry_between(heron), heron).change
    assert change.kind == "days"
    [one] = change.altered.programs
    assert one.before.days == "mon thu"
    assert len(one.after.days.split()) > 2
    assert one.after.runs == one.before.runs
    sand = change.inputs["traces"][str(heron.zones[1].pk)]
    assert sum(sand["change"]) < sum(sand["keep"])


def test_a_zone_to_a_letter_of_its_own(heron: Garden):
    change = proposed(altered.among_lawns(heron), heron).change
    assert change.kind == "program"
    assert change.program == heron.program
    left, own = change.altered.programs
    assert (left.letter, own.letter, own.before) == ("A", "B", None)
    assert [run.zone for run in left.after.runs] == [heron.zones[1].pk]
    assert [run.zone for run in own.after.runs] == [heron.zones[0].pk]
    assert set(own.after.days.split()) < set(left.after.days.split())
    # 36 minutes at 12 mm/h on 200 m2 four times, against what it needs once: 42 mm x Kl / (0.95 x 0.82)
    assert own.after.percent == 100
    need = 42 * float(landscape_coefficient(["native"], microclimate=[1.0], southern=[False])[6, 0])
    minutes = ceil(60 * need / (0.95 * 0.82) / 12)
    assert [run.minutes for run in own.after.runs] == [minutes]
    assert change.effect_litres == pytest.approx((minutes - 4 * 36) / 60 * 12 * 200)


def test_a_zone_to_a_program_of_zones_like_it(heron: Garden):
    shrubs = zone(heron.controller, 3, plant="native", root_depth_mm=1000, name="Sage")
    other = Program.objects.create(
        controller=heron.controller,
        letter="C",
        days="sun",
        starts=["05:00"],
        effective=heron.program.effective,
    )
    ZoneRun.objects.create(program=other, zone=shrubs, minutes=60)
    change = proposed(altered.among_lawns(heron), heron).change
    assert change.altered.letters == ["A", "C"]
    [sage, oaks] = change.altered.programs[1].after.runs
    assert (sage.zone, oaks.zone) == (shrubs.pk, heron.zones[0].pk)
    assert change.altered.programs[1].program == other.pk


def test_no_letter_free_and_no_program_like_it_is_a_matter_for_the_plan(heron: Garden):
    heron.controller.program_capacity = 1
    heron.controller.save()
    line = altered.among_lawns(heron)
    assert line.becomes == ""
    with pytest.raises(Refused, match="its plan shows"):
        proposed(line, heron)


def test_cycles_the_soil_takes(heron: Garden):
    change = proposed(altered.on_clay(heron), heron).change
    assert change.kind == "minutes"
    run = change.altered.programs[0].after.run_of(heron.zones[0].pk)
    assert (run.minutes, run.cycle, run.soak) == (30, 8, 115)


def test_all_runs_of_a_program_that_run_off_are_one_change(heron: Garden):
    first = altered.on_clay(heron)
    altered.change_zone(heron.zones[1], soil="clay", precipitation_rate_mm_h=30.0)
    ZoneRun.objects.filter(zone=heron.zones[1]).update(cycle=None, soak=None)
    advise(open_sites(), on=ON)
    change = proposed(first, heron).change
    assert all(run.cycle for run in change.altered.programs[0].after.runs)
    assert change.reason.endswith("Likewise zone 2.")
    assert {line.change for line in Advice.objects.filter(kind="runoff")} == {change}
    second = Advice.objects.get(kind="runoff", zone=heron.zones[1])
    assert not proposed(second, heron).new


def test_days_the_rule_allows(heron: Garden):
    rule = WateringRule.objects.create(company=heron.company, name="Town", weekdays="mon tue thu")
    heron.site.watering_rule = rule
    heron.site.save()
    change = proposed(altered.line("outside the rule"), heron).change
    assert change.kind == "days"
    assert set(change.altered.programs[0].after.days.split()) <= {"mon", "tue", "thu"}


def test_starts_inside_the_hours(heron: Garden):
    rule = WateringRule.objects.create(
        company=heron.company, name="Town", hours_from=time(20, 0), hours_to=time(3, 30)
    )
    heron.site.watering_rule = rule
    heron.site.save()
    change = proposed(altered.line("outside the rule"), heron).change
    assert change.kind == "program"
    [one] = change.altered.programs
    assert one.after.starts != one.before.starts
    assert (one.after.days, one.after.runs) == (one.before.days, one.before.runs)


def test_uneven_heads_are_repaired_not_programmed(heron: Garden):
    from tests.night.garden import TABLE

    altered.change_zone(heron.zones[0], uniformity=0.45, basis=TABLE | {"uniformity": "measured"})
    for month in range(1, 13):
        heron.cell.normals.create(month=month, reference_et_mm=4.0, days_used=300)
    line = altered.line("uneven heads")
    assert line.becomes == ""
    with pytest.raises(Refused):
        proposed(line, heron)


def test_twice_is_once(heron: Garden):
    line = altered.dry_between(heron)
    first, second = proposed(line, heron), proposed(line, heron)
    assert (first.new, second.new) == (True, False)
    assert first.change == second.change
    assert Change.objects.filter(kind="days").count() == 1
    assert Advice.objects.get(pk=line.pk).change == first.change


def test_a_second_of_the_same_program_waits_for_the_first(heron: Garden):
    days = altered.dry_between(heron)
    minutes = altered.on_clay(heron)
    proposed(days, heron)
    with pytest.raises(MovedOn, match=r"Another change of program A \(watering days\) is open"):
        proposed(minutes, heron)


def test_what_its_program_holds_by_now_is_proposed_and_said(heron: Garden):
    line = altered.on_clay(heron)
    edit_program(program=heron.program, by=heron.owner, effective=ON, starts=["02:00"])
    found = proposed(line, heron)
    assert found.anew
    assert "computed anew" in found.change.hints
    [one] = found.change.altered.programs
    assert one.before.starts == one.after.starts == ("02:00",)
    assert one.program == altered.newest(heron).pk


def test_advice_that_no_longer_holds_is_taken_off_and_said(heron: Garden):
    line = altered.on_clay(heron)
    ZoneRun.objects.filter(zone=heron.zones[0]).update(cycle=8, soak=115)
    with pytest.raises(MovedOn, match="no longer holds"):
        proposed(line, heron)
    assert not Change.objects.exists()
    assert not Advice.objects.filter(pk=line.pk).exists()


def test_only_the_owner_and_the_office_propose(heron: Garden):
    line = altered.dry_between(heron)
    hand = User.objects.create_user("hand@heron.test", "three herons at dawn")
    Membership.objects.create(user=hand, company=heron.company, role="technician")
    with pytest.raises(NotAllowed):
        propose(advice=line, by=hand)


def test_declined_it_can_be_proposed_again(heron: Garden):
    line = altered.dry_between(heron)
    first = proposed(line, heron).change
    decline(change=first, by=heron.owner, note="Not before the party.")
    second = proposed(line, heron).change
    assert second != first
    assert Advice.objects.get(pk=line.pk).change == second


def test_a_survey_with_gaps_in_the_same_program_is_named(heron: Garden):
    line = altered.on_clay(heron)
    altered.change_zone(heron.zones[1], soil="")
    with pytest.raises(Refused, match="survey is incomplete"):
        proposed(line, heron)


def test_what_was_said_outlives_a_night_without_the_line(heron: Garden):
    line = altered.dry_between(heron)
    change = proposed(line, heron).change
    altered.change_zone(heron.zones[1], soil="loam")
    advise(open_sites(), on=ON)
    gone = Advice.objects.get(pk=line.pk)
    assert (gone.gone_on, gone.change) == (ON, change)
    altered.change_zone(heron.zones[1], soil="sand")
    advise(open_sites(), on=ON)
    back = Advice.objects.get(pk=line.pk)
    assert (back.gone_on, back.change) == (None, change)
