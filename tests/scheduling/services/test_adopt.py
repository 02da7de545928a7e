"""A plan becomes programs: as shown, all at once, never past what has moved, by whom it may."""

from datetime import date, timedelta

import pytest

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Controller, Membership, User
from scheduling.models import Program, Setting
from scheduling.selectors.plan import Overrides, ZoneOverride
from scheduling.selectors.plan.of_controller import plan_of
from scheduling.services.adopt import adopt_plan
from tests.night.garden import ON, Garden, garden, zone
from weather.models import MonthlyNormal

pytestmark = pytest.mark.django_db
ET = (1.0, 1.6, 2.8, 4.2, 5.6, 6.8, 7.2, 6.4, 4.9, 3.0, 1.5, 0.9)


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    made = garden(zones=2)
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=made.cell, month=n, reference_et_mm=et, days_used=90)
        for n, et in enumerate(ET, start=1)
    )
    return made


def adopt(of: Garden, *, night: date = ON, overrides: Overrides | None = None, **more):
    said = overrides or Overrides()
    digest = more.pop("digest", None) or plan_of(of.controller, night=night, overrides=said).digest
    return adopt_plan(
        controller=of.controller,
        by=more.pop("by", of.owner),
        effective=night,
        digest=digest,
        overrides=said,
    )


def test_programs_become_what_was_shown(heron):
    shown = plan_of(heron.controller, night=ON).plan
    (program,) = adopt(heron)
    (planned,) = shown.programs
    assert (program.letter, program.effective, program.days) == ("A", ON, planned.days)
    assert program.starts == list(planned.starts)
    assert [(r.zone, r.minutes, r.cycle, r.soak) for r in program.runs.order_by("order")] == [
        (r.zone, r.minutes, r.cycle, r.soak) for r in planned.runs
    ]
    assert Program.objects.filter(letter="A").count() == 2  # what ran stays


def test_it_begins_at_the_percent_of_its_month(heron):
    (program,) = adopt(heron)
    assert list(program.settings.values_list("percent", "effective_from")) == [(100, ON)]
    fall = date(2026, 10, 5)
    (later,) = adopt(heron, night=fall)
    (setting,) = Setting.objects.filter(program=later)
    assert setting.percent == plan_of(heron.controller, night=fall).plan.programs[0].month_percents[9] < 50


def test_what_is_overruled_is_written_as_shown(heron):
    said = Overrides(zones={2: ZoneOverride(program="C", minutes=33)})
    programs = adopt(heron, overrides=said)
    assert [p.letter for p in programs] == ["A", "C"]
    assert programs[1].runs.get().minutes == 33


def test_a_program_the_plan_does_not_have_ends(heron):
    beds = heron.controller.programs.create(
        letter="B", days="daily", starts=["22:00"], effective=ON - timedelta(days=60)
    )
    beds.runs.create(zone=heron.zones[1], minutes=4)
    adopt(heron)
    beds.refresh_from_db()
    assert beds.ended == ON
    assert plan_of(heron.controller, night=ON).present.entries[0].program.letter == "A"
    assert len(plan_of(heron.controller, night=ON).present.entries) == 1


@pytest.mark.parametrize("moved", ["survey", "program", "weather", "controller", "overrides"])
def test_what_moved_since_it_was_shown_is_refused(heron, moved):
    digest = plan_of(heron.controller, night=ON).digest
    said = None
    if moved == "survey":
        heron.zones[0].uniformity = 0.6
        heron.zones[0].save()
    elif moved == "program":
        heron.program.runs.update(minutes=12)
    elif moved == "weather":
        MonthlyNormal.objects.filter(month=7).update(reference_et_mm=8)
    elif moved == "controller":
        heron.controller.starts_per_program = 2
        heron.controller.save()
    else:
        said = Overrides(zones={1: ZoneOverride(minutes=5)})
    with pytest.raises(MovedOn):
        adopt(heron, digest=digest, overrides=said)
    assert Program.objects.count() == 1


def test_only_owner_and_office_adopt(heron):
    technician = User.objects.create_user("t@heron.test", "three herons at dawn")
    Membership.objects.create(user=technician, company=heron.company, role="technician")
    with pytest.raises(NotAllowed):
        adopt(heron, by=technician)


def test_no_zone_loses_its_water_unseen(heron):
    heron.zones[1].soil = ""
    heron.zones[1].save()
    with pytest.raises(Refused, match="soil"):
        adopt(heron)
    assert Program.objects.count() == 1


def test_nights_that_are_over_and_versions_to_come_are_refused(heron):
    with pytest.raises(Refused, match="over"):
        adopt(heron, night=ON - timedelta(days=1), digest="x")
    heron.controller.programs.create(letter="A", starts=[], effective=ON + timedelta(days=9))
    with pytest.raises(Refused, match="changes on"):
        adopt(heron)


def test_nothing_to_enter_is_refused(heron):
    for one in heron.zones:
        one.plant = ""
        one.save()
    with pytest.raises(Refused, match="no zone"):
        adopt(heron)


def test_a_zone_that_is_off_is_left_out(heron):
    heron.zones[1].episodes.create(kind="off", effective_from=ON - timedelta(days=3))
    found = plan_of(heron.controller, night=ON).plan
    assert [(one.zone.number, list(one.missing)) for one in found.left_out] == [(2, ["it is off"])]
    (program,) = adopt(heron)
    assert program.runs.count() == 1


def test_a_plan_costs_a_fixed_number_of_questions(heron, django_assert_num_queries):
    def asked() -> None:
        plan_of(
            Controller.objects.select_related("site__client", "site__watering_rule", "source").get(
                pk=heron.controller.pk
            ),
            night=ON,
        )

    with django_assert_num_queries(15):
        asked()
    for number in range(3, 9):
        zone(heron.controller, number)
    with django_assert_num_queries(15):
        asked()
