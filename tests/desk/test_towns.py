"""The pages of towns: seeing a switch before it is saved, plans for what breaks it, and a site's own rule."""

import re
from copy import copy
from datetime import date
from typing import Any

import pytest
from django.test import Client

from fleet.models import Company, SettingEdit, Site, Town, WateringRule, Zone
from scheduling.models import Program, ZoneRun
from tests.cast import TODAY, Cast
from weather.models import MonthlyNormal, WeatherCell

AT = "/settings/towns/"


def text(answer: Any) -> str:
    return " ".join(
        answer.content.decode().replace("\u00a0", " ").replace("<b>", "").replace("</b>", "").split()
    )


@pytest.fixture
def town(cast: Cast) -> Town:
    """Stage 2: odd addresses on odd dates; the cast lives at number 7 and waters daily at 4:30."""
    town = Town.objects.create(company=cast.company, name="Upper Vale")
    WateringRule.objects.create(company=cast.company, name="two", town=town, stage=2, parity="address")
    Site.objects.filter(pk=cast.site.pk).update(town=town, address="7 Elm")
    return town


def test_a_switch_is_shown_then_saved_then_taken_back(cast: Cast, owner: Client, town: Town):
    at = f"{AT}{town.pk}/"
    said = {"stage": "2", "from": TODAY.isoformat()}
    shown = text(owner.post(f"{at}stage/", said))
    assert (
        "Nothing is switched yet. Of 1 program at 1 open site, 1 program at 1 site would water against it"
        in shown
    )
    assert Town.objects.get().stage == 0
    answer = owner.post(f"{at}stage/", {**said, "switch": "yes"}, follow=True)
    assert "1 controller from the night of" in text(answer)
    assert Town.objects.get().stage == 2
    assert "Odd address: odd dates" in text(owner.get(f"/sites/{cast.site.pk}/"))
    owner.post(f"/settings/edits/{SettingEdit.objects.first().pk}/take-back/")
    assert (Town.objects.get().stage, Town.objects.get().stage_from) == (0, None)


def surveyed(cast: Cast) -> None:
    cell = WeatherCell.objects.create(
        latitude=39.2, longitude=-121.1, elevation_m=310, timezone="America/Los_Angeles"
    )
    Site.objects.update(cell=cell)
    for month in range(1, 13):
        MonthlyNormal.objects.create(cell=cell, month=month, reference_et_mm=4.0, rain_mm=1.0)
    Zone.objects.filter(pk=cast.zone.pk).update(
        plant="cool_turf", head="rotor", soil="loam", slope_percent=1, sun="full", area_m2=100,
        root_depth_mm=200, uniformity=0.7, precipitation_rate_mm_h=15,
    )  # fmt: skip


@pytest.mark.parametrize("all_at_once", [True, False])
def test_a_new_plan_is_adopted_and_then_nothing_breaks_the_stage(
    cast: Cast, owner: Client, town: Town, all_at_once
):
    surveyed(cast)
    at = f"{AT}{town.pk}/"
    owner.post(f"{at}stage/", {"stage": "2", "from": "2026-07-10", "switch": "yes"})
    page = owner.get(f"{at}plans/")
    (line,) = page.context["lines"]
    assert (line["why_not"], [one.days for one in line["programs"]]) == ("", ["odd"])
    if all_at_once:
        assert "1 of 1 controller has a new plan" in text(owner.post(f"{at}plans/all/"))
    else:
        assert (
            owner.post(f"{at}plans/{cast.controller.pk}/", {"digest": "stale"}, follow=True).status_code
            == 200
        )
        assert not Program.objects.filter(effective=date(2026, 7, 10)).exists()
        owner.post(f"{at}plans/{cast.controller.pk}/", {"digest": line["digest"]})
    assert Program.objects.get(effective=date(2026, 7, 10)).days == "odd"
    assert "Everything complies." in text(owner.get(f"{at}plans/"))


def test_batch_by_batch_each_looks_at_its_own_sites_alone(cast: Cast, owner: Client, town: Town, monkeypatch):
    surveyed(cast)
    town_page = f"{AT}{town.pk}/"
    monkeypatch.setattr("desk.pages.how_we_work.towns.A_BATCH", 1)
    controller = copy(cast.controller)
    site = Site.objects.get(pk=cast.site.pk)
    site.pk, site.name = None, "Annex"
    site.save()
    controller.pk, controller.site, controller.source = None, site, None
    controller.save()
    zone = Zone.objects.get(pk=cast.zone.pk)
    zone.pk, zone.controller = None, controller
    zone.save()
    program = Program.objects.create(
        controller=controller, letter="A", days="daily", starts=["04:30"], effective=cast.program.effective
    )
    ZoneRun.objects.create(program=program, zone=zone, minutes=10)
    owner.post(f"{town_page}stage/", {"stage": "2", "from": "2026-07-10", "switch": "yes"})
    first = owner.post(f"{town_page}plans/all/")
    assert (first.context["done"], first.context["left"], first.context["total"]) == (1, 1, 2)
    assert first.context["carried"]["ahead"] == str(controller.pk)
    second = owner.post(f"{town_page}plans/all/", first.context["carried"])
    assert (second.context["done"], second.context["left"], second.context["total"]) == (2, 0, 2)
    assert "Everything complies." in text(owner.get(f"{town_page}plans/"))


def test_what_no_plan_can_mend_is_left_and_named(cast: Cast, owner: Client, town: Town):
    owner.post(f"{AT}{town.pk}/stage/", {"stage": "2", "from": TODAY.isoformat(), "switch": "yes"})
    answer = text(owner.post(f"{AT}{town.pk}/plans/all/", {"after": "9" * 40, "done": "x"}))
    assert "0 of 1 controller have a new plan" in answer and "complete the survey first" in answer
    assert Program.objects.count() == 1


@pytest.mark.parametrize(
    ("units", "depth"), [("us", r"dries [\d.]+ in beyond"), ("metric", r"dries [\d.]+ mm beyond")]
)
def test_why_no_plan_can_mend_it_is_told_in_the_companys_units(
    cast: Cast, owner: Client, town: Town, units: str, depth: str
):
    surveyed(cast)
    Company.objects.update(units=units)
    WateringRule.objects.update(parity="any", weekdays="mon", days_per_week=1)
    Town.objects.update(stage=2, stage_from=TODAY)
    pages = owner.get(f"{AT}{town.pk}/plans/"), owner.post(f"{AT}{town.pk}/plans/all/")
    for page in pages:
        assert re.search(depth, text(page))
        assert page.context["waiting"] == 1  # what waits for a decision, counted in the masthead


def test_the_switch_begins_at_the_stage_in_force(owner: Client, town: Town):
    assert '<option value="0" selected>' in text(owner.get(f"{AT}{town.pk}/"))
    Town.objects.update(stage=2, stage_from=TODAY)
    assert '<option value="2" selected>' in text(owner.get(f"{AT}{town.pk}/"))
    WateringRule.objects.all().delete()  # a stage no rule is left for is in force all the same
    assert '<option value="2" selected>' in text(owner.get(f"{AT}{town.pk}/"))


@pytest.mark.parametrize(
    ("stage", "since"),
    [
        ("", "2026-07-06"), ("99", "2026-07-06"), ("2", ""), ("2", "NaN"), ("2", "2026-07-05"),
        ("\u0662", "2026-07-06"), ("2", "9999-12-31"), ("🌱" * 5000, "x" * 10_000), ("0", "2026-07-06"),
        ("2", "2026-07-06T00:00\0"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("more", [{}, {"switch": "yes"}])
def test_what_cannot_be_switched_is_said_and_nothing_lost(owner: Client, town: Town, stage, since, more):
    answer = owner.post(f"{AT}{town.pk}/stage/", {"stage": stage, "from": since, **more})
    assert answer.status_code == (200 if (stage, since, more) == ("0", "2026-07-06", {}) else 422)
    assert Town.objects.get().stage_from is None


def test_a_town_is_added_renamed_and_deleted_while_nothing_hangs_on_it(cast: Cast, owner: Client, town: Town):
    Town.objects.update(stage=2)
    assert owner.post(AT, {"name": "Upper Vale"}).status_code == 422
    assert owner.post(AT, {"name": "Lower Vale"}).status_code == 302
    lower = Town.objects.get(name="Lower Vale")
    was = owner.get(f"{AT}{lower.pk}/").context["sheet"].was
    assert owner.post(f"{AT}{lower.pk}/", {"name": "Low Vale", "was": was}).status_code == 302
    assert owner.post(f"{AT}{lower.pk}/delete/").status_code == 302
    assert owner.post(f"{AT}{town.pk}/delete/").status_code == 422
    assert list(Town.objects.values_list("name", flat=True)) == ["Upper Vale"]


def test_a_sites_house_number_is_set_right(cast: Cast, owner: Client, town: Town):
    at = f"/sites/{cast.site.pk}/rule/"
    sheet = owner.get(at).context["sheet"]
    said = {one.blank.name: one.text for one in sheet} | {"was": sheet.was}
    assert owner.post(at, {**said, "house_number": "1e9"}).status_code == 422
    assert owner.post(at, {**said, "town_id": "999"}).status_code == 422
    assert owner.post(at, {**said, "house_number": "8"}).status_code == 302
    assert Site.objects.get(pk=cast.site.pk).house_number == 8
    assert owner.post(at, {**said, "house_number": "9"}).status_code == 409


def test_a_technician_reads_no_settings(cast: Cast, town: Town, technician: Client):
    for at in (AT, f"{AT}{town.pk}/", f"{AT}{town.pk}/plans/"):
        assert technician.get(at).status_code in (403, 404)
