"""A round through the zones of a site: kept at every step, left, taken up, ended; what it flags."""

import json
from typing import Any

import pytest
from django.test import Client

from fleet.models import Finding, WaterSource, Zone, ZoneRound, ZoneTest
from tests.cast import Cast, a_zone

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def begin(cast: Cast, browser: Client, **typed: str) -> ZoneRound:
    answer = browser.post(f"/sites/{cast.site.pk}/rounds/", {"kind": "commissioning", **typed})
    assert answer.status_code == 302
    return ZoneRound.objects.latest("pk")


def tell(browser: Client, row: ZoneRound, zone: Zone, **typed: Any) -> Any:
    """Send the form as it was opened, with what was typed."""
    address = f"/rounds/{row.pk}/zones/{zone.pk}/"
    sheet = browser.get(address).context["sheet"]
    was = json.loads(sheet.was)
    seen = was.pop("seen").split()
    return browser.post(address, {**was, "seen": seen, "was": sheet.was, **typed})


def test_a_round_is_gone_through_left_and_taken_up_again(cast: Cast, technician: Client):
    second = a_zone(cast.controller, 2)
    row = begin(cast, technician)
    answer = tell(technician, row, cast.zone, pressure_kpa="280", next="yes")
    assert answer["Location"] == f"/rounds/{row.pk}/zones/{second.pk}/"
    refused = technician.post(f"/rounds/{row.pk}/done/")
    assert refused.status_code == 422
    assert "Not seen yet: zone 2" in text(refused)
    again = technician.post(f"/sites/{cast.site.pk}/rounds/", {"kind": "check"})
    assert again["Location"] == f"/rounds/{row.pk}/zones/{second.pk}/"
    assert ZoneRound.objects.count() == 1
    last = tell(technician, row, second, not_seen_because="Behind a locked gate.", next="yes")
    assert last["Location"] == f"/rounds/{row.pk}/"
    assert technician.post(f"/rounds/{row.pk}/done/").status_code == 302
    row.refresh_from_db()
    assert row.done_on is not None
    page = text(technician.get(f"/rounds/{row.pk}/"))
    assert "Behind a locked gate." in page
    assert "2 of 2 zones seen, or said why not" in page
    late = tell(technician, row, second, note="Later.")
    assert late.status_code == 422
    assert "This round is over" in text(late)


def test_a_bucket_gives_the_flow_and_the_survey_takes_it(cast: Cast, technician: Client):
    zone = cast.zone
    zone.area_m2, zone.precipitation_rate_mm_h, zone.head = 100, 30, "spray"
    zone.basis = {"area_m2": "measured", "precipitation_rate_mm_h": "table"}
    zone.save()
    row = begin(cast, technician)
    cast.company.units = "metric"
    cast.company.save()
    assert tell(technician, row, zone, volume_l="20", seconds="30").status_code == 302
    zone.refresh_from_db()
    assert (zone.flow_l_min, zone.precipitation_rate_mm_h) == (
        40.0,
        None,
    )  # 60 x 40 / 100: 24 mm/h from now on
    assert zone.basis == {"area_m2": "measured", "flow_l_min": "measured"}
    test = ZoneTest.objects.get()
    assert (test.flow_l_min, test.expected_l_min, test.expected_from) == (
        40.0,
        50.0,
        "survey",
    )  # 30 x 100 / 60
    assert "as expected" in text(technician.get(f"/rounds/{row.pk}/zones/{zone.pk}/"))
    tell(technician, row, zone, volume_l="", seconds="", flow_l_min="")
    zone.refresh_from_db()
    assert (zone.flow_l_min, zone.precipitation_rate_mm_h) == (None, 30)
    assert zone.basis == {"area_m2": "measured", "precipitation_rate_mm_h": "table"}


def test_a_flow_off_its_last_test_becomes_a_finding_by_one_tap(cast: Cast, technician: Client):
    cast.company.units = "us"
    cast.company.save()
    ZoneTest.objects.create(zone=cast.zone, date="2026-05-01", flow_l_min=40 * 3.785411784)
    row = begin(cast, technician)
    tell(technician, row, cast.zone, flow_l_min="52", seen=["leak"])
    page = text(technician.get(f"/rounds/{row.pk}/zones/{cast.zone.pk}/"))
    assert "52.0 gpm: 30 % more than expected (40.0 gpm as in its last test)." in page
    assert "a broken head, a leak in a pipe" in page
    assert "common practice, no source" in page
    address = f"/rounds/{row.pk}/zones/{cast.zone.pk}/finding/"
    for what in ("flow", "flow", "leak"):
        technician.post(address, {"what": what})
    assert set(Finding.objects.values_list("part", "note")) == {
        ("something else", "Flow 52.0 gpm, expected 40.0 gpm (+30 %)"),
        ("pipe", "leak"),
    }
    technician.post(address, {"what": "tilted"})
    assert Finding.objects.count() == 2
    assert "in the findings" in text(technician.get(f"/rounds/{row.pk}/zones/{cast.zone.pk}/"))


def test_pipe_and_supply_are_warned_of(cast: Cast, technician: Client):
    cast.company.units = "us"
    cast.company.save()
    cast.controller.source = WaterSource.objects.create(site=cast.site, name="Tap", flow_l_min=40)
    cast.controller.save()
    row = begin(cast, technician)
    tell(technician, row, cast.zone, flow_l_min="14", pipe="Schedule 40 1 in")
    page = text(technician.get(f"/rounds/{row.pk}/zones/{cast.zone.pk}/"))
    # 0.4085 x 14 / 1.029^2
    assert "Water runs at 5.4 ft/s through Schedule 40 1 in pipe; over 5.0 ft/s" in page
    assert "This pipe carries up to 13.0 gpm" in page
    assert "What runs at once takes 14.0 gpm; Tap gives 10.6 gpm." in page


def test_two_people_do_not_write_over_each_other(cast: Cast, technician: Client):
    row = begin(cast, technician)
    address = f"/rounds/{row.pk}/zones/{cast.zone.pk}/"
    sheet = technician.get(address).context["sheet"]
    opened = json.loads(sheet.was)
    tell(technician, row, cast.zone, note="Mine.")
    late = technician.post(address, {**opened, "seen": [], "was": sheet.was, "note": "Yours."})
    assert late.status_code == 409
    assert ZoneTest.objects.get().note == "Mine."
    assert "Yours." in text(late)


def test_typing_is_kept_at_every_step_and_the_form_learns_what_is_kept(cast: Cast, technician: Client):
    row = begin(cast, technician)
    address = f"/rounds/{row.pk}/zones/{cast.zone.pk}/"
    sheet = technician.get(address).context["sheet"]
    typed = {**json.loads(sheet.was), "seen": ["tilted"], "was": sheet.was, "pressure_kpa": "250"}
    part = technician.post(address, typed, headers={"HX-Request": "true"})
    assert part.status_code == 200
    assert "kept" in text(part)
    assert 'hx-swap-oob="true"' in text(part)
    assert ZoneTest.objects.get().seen == ["tilted"]
    assert "Make it a finding" in text(part)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"flow_l_min": "lots"}, "Type a number alone"),
        ({"flow_l_min": "10", "volume_l": "10", "seconds": "5"}, "Give the flow one way"),
        ({"volume_l": "10"}, "Type how many seconds it took"),
        ({"before": "10", "seconds": "9"}, "Type both readings"),
        ({"before": "10", "after": "9", "seconds": "9"}, "less than the first"),
        ({"pressure_kpa": "-3"}, "0 to"),
        ({"pressure_kpa": "inf"}, "Type a number alone"),
        ({"note": "x" * 10_000}, "400 characters at the most"),
        ({"seen": ["all of it"]}, "Pick from"),
        ({"pipe": "hose"}, "Pick one of those offered"),
        ({"meter": "pints"}, "Pick one of those offered"),
    ],
)
def test_what_can_not_be_is_told_and_nothing_is_lost(
    cast: Cast, technician: Client, typed: dict[str, Any], words: str
):
    row = begin(cast, technician)
    answer = tell(technician, row, cast.zone, **{"note": "Kept.", **typed})
    if "seen" in typed:  # what isn't on the list never gets into the form
        assert answer.status_code == 302
        assert ZoneTest.objects.get().seen == []
        return
    assert answer.status_code == 422
    assert words in text(answer)
    assert "Kept." in text(answer) or "note" in typed
    assert not ZoneTest.objects.exists()


def test_a_round_of_one_controller_goes_past_its_zones_alone(cast: Cast, technician: Client):
    from fleet.models import Controller

    gate = Controller.objects.create(site=cast.site, name="Gate")
    there = a_zone(gate, 1)
    row = begin(cast, technician, controller=str(gate.pk))
    assert technician.get(f"/rounds/{row.pk}/zones/{there.pk}/").status_code == 200
    assert technician.get(f"/rounds/{row.pk}/zones/{cast.zone.pk}/").status_code == 404
    for wrong in ("x", "999999", "9" * 40):
        answer = technician.post(f"/sites/{cast.site.pk}/rounds/", {"kind": "check", "controller": wrong})
        assert answer.status_code == 302
    assert ZoneRound.objects.count() == 1
