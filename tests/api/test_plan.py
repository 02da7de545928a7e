"""The plan of a controller over REST."""

from typing import Any

import pytest

from fleet.models import Membership, User
from scheduling.models import Program
from tests.night.garden import ON, Garden, garden
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


@pytest.fixture
def office(api, heron):
    api.force_authenticate(heron.owner)
    return api


def address(of: Garden, verb: str = "plan/") -> str:
    return f"/api/v1/controllers/{of.controller.pk}/{verb}"


def test_a_plan_with_every_reason(office, heron):
    answer = office.get(address(heron)).json()
    assert (answer["effective"], answer["peak_month"], answer["binding"]) == (str(ON), 7, None)
    first = answer["zones"][0]
    assert (first["zone"], first["number"], first["program"]) == (heron.zones[0].pk, 1, "A")
    # Loam, 300 mm of roots: 0.17 x 300 x 0.5 = 25.5 mm; 7.2 x 0.94 = 6.768 mm a day: 3 days.
    assert (first["readily_available_mm"], first["need_mm_day"], first["interval_days"]) == (25.5, 6.768, 3)
    (why,) = [one for one in first["reasons"] if one["of"] == "interval_days"]
    assert why["words"] == "Soil holds 25.5 mm these roots may use, July takes 6.8 mm a day: every 3 days."
    (program,) = answer["programs"]
    assert [run["order"] for run in program["runs"]] == [1, 2]
    assert answer["night"]["events"][0]["program"] is None


def test_what_is_overruled_is_tried_and_not_stored(office, heron):
    pk = heron.zones[1].pk
    said = {"zones": {str(pk): {"minutes": 20, "program": "B"}}, "programs": {"B": {"days": "daily"}}}
    answer = office.post(address(heron), said, format="json").json()
    assert [one["letter"] for one in answer["programs"]] == ["A", "B"]
    assert answer["zones"][1]["minutes"] == 20
    assert answer["programs"][1]["days"] == "daily"
    assert answer["digest"] != office.get(address(heron)).json()["digest"]
    assert Program.objects.count() == 1


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"zones": {"999": {"minutes": 5}}}, "zones.999"),
        ({"zones": {"x": {"minutes": 5}}}, "zones"),
        ({"programs": {"1": {"days": "daily"}}}, "programs.1"),
        ({"programs": {"A": {"days": "someday"}}}, "programs.A.days"),
        ({"programs": {"A": {"starts": ["02:00", "02:00"]}}}, "programs.A.starts"),
        ({"effective": "2020-01-01"}, "effective"),
    ],
)
def test_what_can_not_be_is_said_by_the_field(office, heron, said, field):
    answer = office.post(address(heron), said, format="json")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == field


def test_a_plan_is_adopted_once(office, heron):
    shown = office.get(address(heron)).json()
    said = {"effective": str(ON), "digest": shown["digest"]}
    adopted = office.post(address(heron, "plan/adopt/"), said, format="json")
    assert adopted.status_code == 201
    (program,) = adopted.json()["programs"]
    assert program["starts"] == shown["programs"][0]["starts"]
    again = office.post(address(heron, "plan/adopt/"), said, format="json")
    assert (again.status_code, again.json()["current_status"]) == (409, "moved")


def person(of: Garden, role: str) -> User:
    user = User.objects.create_user(f"{role}@heron.test", "three herons at dawn")
    Membership.objects.create(user=user, company=of.company, role=role)
    return user


def test_a_technician_reads_but_does_not_adopt(api, heron):
    api.force_authenticate(person(heron, "technician"))
    shown = api.get(address(heron)).json()
    said = {"effective": str(ON), "digest": shown["digest"]}
    assert api.post(address(heron, "plan/adopt/"), said, format="json").status_code == 403


def test_better_starts_for_what_is_held(office, heron):
    beds = heron.controller.programs.create(letter="B", days="daily", starts=["07:30"], effective=ON)
    beds.runs.create(zone=heron.zones[1], minutes=30)
    answer: dict[str, Any] = office.get(address(heron, "arrangement/")).json()
    rows = {row["letter"]: row for row in answer["programs"]}
    assert rows["B"]["starts_now"] == ["07:30"]
    # Lawns: two zones of 40 in cycles of 20, soak 20: 80 min. Beds 30. Over at six, one after the other.
    assert (rows["A"]["starts"], rows["B"]["starts"]) == (["04:10"], ["05:30"])
    assert answer["proposed"]["ends"][11:16] == "06:00"
