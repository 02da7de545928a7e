"""The plan's page: reasons, typing over, what can't be, adopting."""

from datetime import date

import pytest

from fleet.models import Membership, User, WateringRule
from scheduling.models import Program
from tests.night.garden import ON, Garden, garden
from weather.models import MonthlyNormal

pytestmark = pytest.mark.django_db
ET = (1.0, 1.6, 2.8, 4.2, 5.6, 6.8, 7.2, 6.4, 4.9, 3.0, 1.5, 0.9)


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    made = garden(zones=2, units="us")
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=made.cell, month=n, reference_et_mm=et, days_used=90)
        for n, et in enumerate(ET, start=1)
    )
    return made


@pytest.fixture
def office(signed_in, heron):
    return signed_in(heron.owner)


def address(of: Garden, verb: str = "") -> str:
    return f"/controllers/{of.controller.pk}/plan/{verb}"


def test_every_number_opens_its_reason_in_the_companys_units(office, heron):
    page = office.get(address(heron)).content.decode()
    assert "Soil holds 1.00\xa0in these roots may use, July takes 0.27\xa0in a day: every 3 days." in page
    assert "every 3 days</summary>" in page
    assert "mm an hour" not in page
    assert "Everything is kept" in page


def test_what_is_typed_over_shows_its_effect_at_once(office, heron):
    field = f"zone-{heron.zones[1].pk}-minutes"
    part = office.get(address(heron), {field: "20"}, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "past its limit" in part
    assert 'value="20"' in part
    assert Program.objects.count() == 1


@pytest.mark.parametrize("typed", ["soon", "NaN", "inf", "-4", "1e9", "🌱", "مرحبا", "9" * 10_000, "1441"])
def test_what_can_not_be_minutes_is_said_and_kept(office, heron, typed):
    field = f"zone-{heron.zones[1].pk}-minutes"
    answer = office.get(address(heron), {field: typed})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'aria-invalid="true"' in page
    assert "minutes" in page


@pytest.mark.parametrize(
    "asked",
    [
        {"program-A-starts": "25:00"},
        {"program-A-days": "someday"},
        {"program-é-days": "daily"},
        {"effective": "yesterday"},
        {"effective": "2020-01-01"},
        {"zone-1-soak": "\x00"},
        {"zone-999999999999999999999-minutes": "3"},
        {"program--days": "daily"},
    ],
)
def test_nothing_typed_is_a_fault(office, heron, asked):
    assert office.get(address(heron), asked).status_code in (200, 422)
    assert office.post(address(heron, "adopt/"), asked | {"digest": "x" * 999}).status_code in (409, 422)


def test_what_stops_it_comes_with_what_would_help(office, heron):
    rule = WateringRule.objects.create(
        company=heron.company, name="Town", weekdays="mon", days_per_week=1, hours_from="22:00"
    )
    heron.site.watering_rule = rule
    heron.site.save()
    page = office.get(address(heron)).content.decode()
    assert "What stops it" in page
    assert "One watering day more." in page


def test_it_is_adopted_after_asking(office, heron):
    field = f"zone-{heron.zones[1].pk}-minutes"
    asked = office.get(address(heron, "adopt/"), {field: "30", "effective": "2026-07-20"})
    digest = asked.context["digest"]
    assert "Adopt from the night of July\xa020" in asked.content.decode()
    assert "Watch the first cycle" in asked.content.decode()
    said = {field: "30", "effective": "2026-07-20", "digest": digest}
    assert office.post(address(heron, "adopt/"), said).status_code == 302
    program = Program.objects.get(effective=date(2026, 7, 20))
    assert sorted(program.runs.values_list("minutes", flat=True))[0] == 30
    assert program.history.get().history_user == heron.owner
    assert office.post(address(heron, "adopt/"), said).status_code in (409, 422)
    assert Program.objects.count() == 2


def test_a_plan_that_moved_is_shown_again(office, heron):
    digest = office.get(address(heron, "adopt/")).context["digest"]
    heron.program.runs.update(minutes=7)
    answer = office.post(address(heron, "adopt/"), {"effective": str(ON), "digest": digest})
    assert answer.status_code == 409
    assert "look at it again" in answer.content.decode()


def test_a_technician_reads_it_and_cannot_adopt(signed_in, heron):
    technician = User.objects.create_user("t@heron.test", "three herons at dawn")
    Membership.objects.create(user=technician, company=heron.company, role="technician")
    browser = signed_in(technician)
    assert "Adopt</button>" not in browser.get(address(heron)).content.decode()
    assert browser.get(address(heron, "adopt/")).status_code == 403
    assert browser.post(address(heron, "adopt/"), {}).status_code == 403


def test_a_site_links_to_it(office, heron):
    assert address(heron) in office.get(f"/sites/{heron.site.pk}/").content.decode()


def test_starts_are_shown_and_typed_with_am_and_pm(office, heron):
    page = office.get(address(heron)).content.decode()
    assert "Starts: such as 2:30 am, 4:10 am." in page
    shown = page.split('name="program-A-starts"')[1].split('placeholder="')[1].split('"')[0]
    assert shown.endswith((" am", " pm")), shown
    answer = office.get(address(heron), {"program-A-starts": "2:30 am"})
    assert answer.status_code == 200
    [program] = [line["plan"] for line in answer.context["programs"] if line["plan"].letter == "A"]
    assert list(program.starts) == ["02:30"]
