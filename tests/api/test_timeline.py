"""A controller's night over REST; times worked out by hand."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Controller, Site, WateringRule
from scheduling.models import Program, Setting, Skip
from tests.night.garden import ON, Garden, garden, zone

pytestmark = pytest.mark.django_db


@pytest.fixture
def heron() -> Garden:
    """Two zones of 40 minutes in cycles of 20 with 20 of soak, mon wed fri at 03:00; ON is a Tuesday."""
    return garden(zones=2, timezone="America/Denver")


def night(api: Any, of: Garden, controller: Controller | None = None, **asked: Any) -> dict[str, Any]:
    api.force_authenticate(of.owner)
    answer = api.get(f"/api/v1/controllers/{(controller or of.controller).pk}/timeline/", asked)
    assert answer.status_code == 200, answer.json()
    return dict(answer.json())


def rows(answer: dict[str, Any]) -> list[tuple[int, int, str, str]]:
    return [(e["zone_number"], e["cycle"], e["start"][11:16], e["end"][11:16]) for e in answer["events"]]


def second(
    of: Garden, letter: str = "B", *, minutes: float = 30, starts: tuple[str, ...] = ("03:10",)
) -> Program:
    program = of.controller.programs.create(
        letter=letter, days="daily", starts=list(starts), effective=ON - timedelta(days=60)
    )
    program.runs.create(zone=of.zones[0], minutes=minutes)
    return program


def test_every_cycle_and_soak_of_a_night(api, heron: Garden):
    answer = night(api, heron, date=ON)
    assert rows(answer) == [
        (1, 1, "03:00", "03:20"),
        (2, 1, "03:20", "03:40"),
        (1, 2, "03:40", "04:00"),
        (2, 2, "04:00", "04:20"),
    ]
    assert answer["events"][0]["start"] == "2026-07-15T03:00:00-06:00"
    assert (answer["date"], answer["timezone"], answer["from"]) == (
        "2026-07-14",
        "America/Denver",
        "2026-07-14T12:00:00-06:00",
    )
    assert (answer["fits"], answer["binding"], answer["limits"]) == (True, None, [])
    # 12 mm/h on 200 m2 is 40 L/min.
    assert {event["flow_l_min"] for event in answer["events"]} == {40.0}


def test_percents_are_rounded_as_the_controller_rounds(api, heron: Garden):
    Setting.objects.create(program=heron.program, percent=57, effective_from=ON)
    # 57 % of 40 is 22.8: 23 minutes, the second cycle 3; zone 2 may open again at 04:00, zone 1 just before.
    assert rows(night(api, heron, date=ON))[2:] == [(1, 2, "03:57", "04:00"), (2, 2, "04:00", "04:03")]


def test_programs_wait_for_one_another(api, heron: Garden):
    second(heron)
    assert rows(night(api, heron, date=ON))[-1] == (1, 1, "04:20", "04:50")


def test_tonight_is_asked_for_without_a_date(api, heron: Garden, settings):
    settings.AS_OF = ON
    assert night(api, heron)["date"] == "2026-07-14"


def test_nothing_runs_in_a_night_that_rests_is_skipped_or_closed(api, heron: Garden):
    assert rows(night(api, heron, date=ON + timedelta(days=1))) == []
    skip = Skip.objects.create(program=heron.program, effective_from=ON, effective_to=ON, reason="Rain.")
    assert rows(night(api, heron, date=ON)) == []
    skip.delete()
    assert rows(night(api, heron, date=ON)) != []
    Site.objects.filter(pk=heron.site.pk).update(season="closed")
    assert rows(night(api, heron, date=ON)) == []


def ruled(of: Garden, **rule: Any) -> None:
    made = WateringRule.objects.create(company=of.company, name="Town", **rule)
    Site.objects.filter(pk=of.site.pk).update(watering_rule=made)


def test_a_night_longer_than_its_hours_says_from_when_and_how_much(api, heron: Garden):
    ruled(heron, hours_from="22:00", hours_to="04:10")
    answer = night(api, heron, date=ON)
    assert (answer["fits"], answer["binding"]) == (False, "hours")
    assert answer["limits"] == ["From 04:10 on 15 July it waters 10 minutes outside the hours allowed."]


def test_a_start_before_the_hours_begin_is_told(api, heron: Garden):
    ruled(heron, hours_from="03:15", hours_to="08:00")
    assert night(api, heron, date=ON)["limits"] == [
        "From 03:00 on 15 July it waters 15 minutes outside the hours allowed."
    ]


def test_hours_by_day_leave_the_night_out(api, heron: Garden):
    ruled(heron, hours_from="08:00", hours_to="20:00")
    assert night(api, heron, date=ON)["limits"] == [
        "From 03:00 on 15 July it waters 80 minutes outside the hours allowed."
    ]


@pytest.mark.parametrize(
    ("rule", "fits"),
    [
        ({"weekdays": "tue sat"}, False),
        ({"weekdays": "wed"}, True),
        ({"parity": "even"}, False),
        ({"parity": "odd"}, True),
    ],
)
def test_the_day_of_a_start_must_be_allowed(api, heron: Garden, rule, fits):
    ruled(heron, **rule)  # the start is on Wednesday the 15th
    answer = night(api, heron, date=ON)
    assert (answer["fits"], answer["binding"]) == (fits, None if fits else "days")


def test_a_night_that_runs_into_the_next_is_told(api, heron: Garden):
    second(heron, minutes=600, starts=("03:00",))
    answer = night(api, heron, date=ON)
    assert answer["binding"] == "noon"
    assert answer["limits"] == ["It runs 140 minutes into the next night, past 12:00 on 15 July."]


def test_controllers_that_share_a_source_share_its_flow(api, heron: Garden):
    other = Controller.objects.create(site=heron.site, source=heron.controller.source, name="Gate")
    lawn = zone(other, 1, precipitation_rate_mm_h=18.0)  # 60 L/min, with 40 of the other above 90
    program = other.programs.create(letter="A", days="daily", starts=["03:30"], effective=date(2026, 4, 1))
    program.runs.create(zone=lawn, minutes=5)
    for controller in (heron.controller, other):
        answer = night(api, heron, controller, date=ON)
        assert answer["binding"] == "flow"
        assert answer["limits"] == [
            "From 03:30 on 15 July open valves take 100 L/min, more than the source gives."
        ]
        assert {event["program"] for event in answer["events"]} == {p.pk for p in controller.programs.all()}


def test_a_zone_without_flow_is_named(api, heron: Garden):
    zone(heron.controller, 9, area_m2=None)
    heron.program.runs.create(zone=heron.controller.zones.get(number=9), minutes=1, order=9)
    answer = night(api, heron, date=ON)
    assert answer["notes"] == ["No flow is known for zone 9 Lawn 9; it counts as none."]
    assert answer["events"][-1]["flow_l_min"] is None or answer["events"][2]["flow_l_min"] is None


def test_the_night_the_clock_jumps(api, heron: Garden):
    second(heron, starts=("02:30",))
    answer = night(api, heron, date=date(2027, 3, 13))
    assert answer["events"][0]["start"] == "2027-03-14T03:00:00-06:00"
    assert answer["notes"][0].startswith("The clock jumps over 02:30 in this night: program B")


def test_the_notes_of_a_night_are_its_own_controllers(api, heron: Garden):
    other = Controller.objects.create(site=heron.site, source=heron.controller.source, name="Gate")
    program = other.programs.create(letter="B", days="daily", starts=["02:30"], effective=ON)
    program.runs.create(zone=zone(other, 1, area_m2=None), minutes=5)
    assert night(api, heron, date=date(2027, 3, 13))["notes"] == []
    told = night(api, heron, other, date=date(2027, 3, 13))["notes"]
    assert [words[:27] for words in told] == ["The clock jumps over 02:30 ", "No flow is known for zone 1"]


def test_bad_dates_are_told_by_field(api, heron: Garden):
    api.force_authenticate(heron.owner)
    answer = api.get(f"/api/v1/controllers/{heron.controller.pk}/timeline/?date=soon")
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == ["date"]
    for day in ("0001-01-01", "9999-12-31"):
        assert api.get(f"/api/v1/controllers/{heron.controller.pk}/timeline/?date={day}").status_code == 400


def test_the_queries_do_not_grow(api, heron: Garden):
    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            night(api, heron, date=ON)
        return len(asked)

    count()  # the first asks whose company it is
    few = count()
    for n in range(6):
        second(heron, letter=f"C{n}")
        other = Controller.objects.create(site=heron.site, source=heron.controller.source, name=f"Box {n}")
        program = other.programs.create(
            letter="A", days="daily", starts=["01:00"], effective=date(2026, 4, 1)
        )
        program.runs.create(zone=zone(other, 1), minutes=5)
    assert count() == few
