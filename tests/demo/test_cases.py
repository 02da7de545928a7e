"""The hard cases of the demo are there, and they are hard."""

from datetime import date, timedelta

import numpy as np
import pytest

from fleet.models import Controller, Town, User, Zone
from fleet.selectors.site_rule import rule_of, with_rules
from scheduling.demo.cases import Case, cases
from scheduling.models import Delivery, Program
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.selectors.stage_effect import stage_effect

TODAY = date(2026, 7, 14)

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.sqlite,  # what is loaded; that it loads on PostgreSQL too is test_loading's
    pytest.mark.usefixtures("demo"),
]


@pytest.fixture(scope="module")
def found(demo) -> dict[str, Case]:
    return cases()


def minutes_of(program: Program) -> float:
    """Return what one start of a program takes at the percent in force. [min]"""
    runs = list(program.runs.order_by("order"))
    percent = program.settings.order_by("-effective_from")[0].percent
    took = program_minutes(
        minutes_at([percent / 100], [run.minutes for run in runs], program.controller.minute_step),
        cycle_min=np.array([run.cycle or np.inf for run in runs]),
        soak_min=np.array([run.soak or 0.0 for run in runs]),
        program_of_run=np.zeros(len(runs), dtype=np.intp),
    )
    return float(took[0, 0])


def night_over(controller: Controller) -> float:
    """Return when a night with all of a controller's programs is over, in minutes after noon."""
    queue = sorted(
        ((start.hour * 60 + start.minute - 720) % 1440, minutes_of(program))
        for program in controller.programs.all()
        for start in program.start_times()
    )
    free = 0.0
    for start, took in queue:
        free = max(free, start) + took
    return free


def test_one_cell_has_nothing_for_one_day_of_the_last_fortnight(found):
    cell = found["missing weather day"].row
    days = set(cell.observed_days.filter(date__gte=TODAY - timedelta(days=20)).values_list("date", flat=True))

    missing = {TODAY - timedelta(days=n) for n in range(1, 21)} - days
    assert missing == {date(2026, 6, 30)}
    assert cell.forecast_days.filter(date=date(2026, 6, 30)).exists()
    assert cell.sites.filter(season="open").exists()


def test_the_school_may_water_on_two_days_only(found):
    rule, program = found["town rule"].row, found["too few days"].row

    assert rule.days_per_week == 2
    assert program.controller.site.watering_rule == rule
    assert program.days == "mon thu"


def test_one_night_alone_is_too_short(found):
    too_long = found["night that doesn't fit"].row.controller

    for controller in with_rules(Controller.objects.exclude(site__season="closed")):
        rule = rule_of(controller.site, TODAY)
        ends = (rule.hours_to.hour * 60 - 720) % 1440 if rule else 1440
        assert (night_over(controller) > ends) == (controller == too_long), controller.site


def test_the_night_that_is_too_short_is_the_night_of_the_demo(found):
    assert found["night that doesn't fit"].row.waters_on(TODAY)


def test_the_leak_is_open_and_loses_water(found):
    leak = found["leak"].row

    assert leak.status == "open"
    assert leak.lost_l_day > 1000


def test_a_change_was_approved_nine_days_ago_and_never_entered(found):
    change = found["approved and not entered"].row

    assert change.decided_at.astimezone().date() == date(2026, 7, 5)
    assert change.decided_by.email == "office@bluestem.example"
    assert [(e.from_status, e.to_status) for e in change.events.all()] == [
        ("", "pending"),
        ("pending", "approved"),
    ]
    assert all(event.at.date() == date(2026, 7, 5) for event in change.events.all())
    assert list(change.deliveries.values_list("state", flat=True)) == [Delivery.State.WAITING]
    assert change.program.settings.order_by("-effective_from")[0].percent == change.current == 80
    assert change.decided > change.current
    assert change.inputs["on"] == "2026-07-05"


def test_a_client_s_access_is_not_open_yet(found):
    assert found["access not open"].row.access_from is None


def test_a_shrub_zone_runs_with_the_grass(found):
    zone = found["shrubs on a turf program"].row
    program = zone.runs.get().program

    assert zone.plant == "shrubs"
    others = Zone.objects.filter(runs__program=program).exclude(pk=zone.pk)
    assert {other.plant for other in others} == {"cool_turf"}


def test_four_controllers_share_a_source(found):
    assert found["four controllers on one source"].row.controllers.count() == 4


def test_a_site_is_closed(found):
    assert found["closed site"].row.season == "closed"


def test_nobody_reaches_a_controller(found):
    assert found["nobody reaches it"].row.delivery == "on_site"


def test_two_surveys_have_a_gap_and_no_other(found):
    unknown_soil, unknown_area = found["soil unknown"].row, found["area unknown"].row

    assert list(Zone.objects.filter(soil="")) == [unknown_soil]
    assert list(Zone.objects.filter(area_m2=None)) == [unknown_area]


def test_a_site_s_lawns_are_watered_unevenly_and_cans_say_so(found):
    lawns = Zone.objects.filter(controller__site=found["poor uniformity"].row, basis__uniformity="measured")

    assert lawns.count() >= 3
    assert lawns.filter(uniformity__lt=0.5).count() >= 3


def test_one_zone_has_half_the_minutes_of_its_like(found):
    zone = found["one zone drives it"].row
    run = zone.runs.get()
    alike = run.program.runs.filter(zone__head=zone.head).exclude(zone=zone)

    assert alike.exists()
    assert run.minutes < 0.7 * min(other.minutes for other in alike)


def test_the_town_has_a_second_stage_ready_that_many_of_its_programs_would_break(demo):
    town = Town.objects.get(name="Corrin")
    owner = User.objects.get(email="owner@bluestem.example")
    assert sorted({rule.stage for rule in town.rules.all()}) == [1, 2]

    effect = stage_effect(owner, town, stage=2, since=TODAY)
    assert not effect.unknown
    assert len(effect.then) > len(effect.now)
    assert len(effect.less) == effect.nights.sites == town.sites.exclude(season="closed").count()
