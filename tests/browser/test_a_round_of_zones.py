"""On a small phone: a round through two zones, catch cans, and a zone that grows in."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.models import CanAudit, Finding, Membership, User, ZoneEpisode, ZoneRound, ZoneTest
from tests.browser.conftest import Watched, sign_in, watched
from tests.cast import PASSWORD
from tests.night.garden import Garden
from tests.pictures import encoded, four_corners

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "has_touch": True}


@pytest.fixture
def phone(browser: Browser, server: str, heron: Garden) -> Iterator[Watched]:
    person = User.objects.create_user("tech@heron.test", PASSWORD, name="Rosa")
    Membership.objects.create(user=person, company=heron.company, role="technician")
    context = browser.new_context(**PHONE)
    seen = watched(context)
    sign_in(seen.page, server, "tech@heron.test")
    yield seen
    assert seen.complaints == []
    context.close()


def narrow(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_round_is_kept_at_every_step_left_and_ended(phone: Watched, server: str, heron: Garden):
    page = phone.page
    page.goto(f"{server}/field/")
    page.get_by_role("button", name="Go through all zones").click()
    expect(page.get_by_role("heading", name="Zone 1 Lawn 1")).to_be_visible()
    narrow(page)
    page.fill("#flow_l_min", "30")
    page.locator("#flow_l_min").blur()
    expect(page.locator("#checks")).to_contain_text("more than expected")
    page.get_by_label("leak", exact=True).check()
    expect(page.locator("#checks .state.fine")).to_contain_text("kept")
    expect(page.locator("#checks .check", has_text="leak").get_by_role("button")).to_be_visible()
    assert ZoneTest.objects.get().seen == ["leak"]
    page.goto(f"{server}/field/")  # left, and taken up again
    page.get_by_role("button", name="Go through all zones").click()
    expect(page.get_by_role("heading", name="Zone 2 Lawn 2")).to_be_visible()
    page.get_by_role("link", name="Back to 1").click()
    expect(page.locator("#flow_l_min")).to_have_value("30")
    page.locator("#checks .check", has_text="leak").get_by_role(
        "button", name="Make it a finding"
    ).last.click()
    expect(page.locator("#notices")).to_contain_text("noted as a finding")
    assert Finding.objects.get().part == "pipe"
    page.get_by_role("button", name="Seen, next zone").click()
    page.get_by_text("or why it wasn't seen").click()
    page.fill("#not_seen_because", "A dog behind the gate.")
    page.get_by_role("button", name="Seen, that was the last").click()
    expect(page.locator("ol.stops")).to_contain_text("A dog behind the gate.")
    narrow(page)
    page.get_by_role("button", name="Round done").click()
    expect(page.locator("#notices")).to_contain_text("The round is done.")
    assert ZoneRound.objects.get().done_on is not None


def test_cans_are_typed_one_after_another_and_used(phone: Watched, server: str, heron: Garden):
    page, zone = phone.page, heron.zones[0]
    page.goto(f"{server}/zones/{zone.pk}/cans/")
    page.fill("#minutes", "10")
    page.fill("#throat_cm2", "16.5")
    page.locator("#throat_cm2").blur()
    for place, can in enumerate(("20", "24", "16", "28"), 1):
        page.fill("#next", can)
        page.press("#next", "Enter")
        expect(page.locator("#volumes_ml")).to_have_value(" ".join(("20", "24", "16", "28")[:place]))
    # mean 22 mL: 3.66 x 22 / (10 x 16.5) = 0.49 in/h; the driest of four 16 / 22 = 73 %
    expect(page.locator("#live")).to_contain_text("0.49\u00a0in/h")
    expect(page.locator("#live")).to_contain_text("73\u00a0%")
    expect(page.locator("#live")).to_contain_text("4 cans are few")
    narrow(page)
    page.get_by_role("button", name="Keep this audit").click()
    page.get_by_role("button", name="Use these in the survey").click()
    expect(page.locator(".audit")).to_contain_text("in the survey")
    zone.refresh_from_db()
    assert zone.basis["uniformity"] == "measured"
    assert zone.uniformity == pytest.approx(16 / 22, abs=1e-4)
    page.get_by_role("button", name="Put the survey back").click()
    expect(page.get_by_role("button", name="Use these in the survey")).to_be_visible()
    zone.refresh_from_db()
    assert zone.uniformity == 0.7
    assert CanAudit.objects.get().volumes_ml == [20, 24, 16, 28]


def test_a_zone_grows_in_and_is_told(phone: Watched, server: str, heron: Garden):
    page, zone = phone.page, heron.zones[1]
    page.goto(f"{server}/zones/{zone.pk}/episodes/")
    narrow(page)
    page.fill("#effective_to", "2026-08-05")
    page.fill("#permit", "W-118")
    page.fill("#runs_a_day", "4")
    page.fill("#run_minutes", "6")
    page.get_by_role("button", name="Begin", exact=True).click()
    expect(page.locator("#notices")).to_contain_text("is growing in")
    page.goto(f"{server}/field/")
    expect(page.locator("section.stop").first).to_contain_text("Key in 4 runs a day of 6 min each")
    narrow(page)
    page.get_by_role("link", name="Set it right or end it").first.click()
    page.get_by_role("button", name="Take it away").click()
    expect(page.locator("#notices")).to_contain_text("watered by need again from tonight on")
    assert not ZoneEpisode.objects.exists()  # it hadn't had a night yet


def test_a_photo_goes_up_while_words_are_being_typed_and_a_bad_one_is_told(
    phone: Watched, server: str, heron: Garden
):
    page = phone.page
    page.goto(f"{server}/field/")
    page.get_by_role("button", name="Go through all zones").click()
    page.fill("#note", "By the gate.")
    jpeg: Any = {"mimeType": "image/jpeg", "name": "gate.jpg", "buffer": encoded(four_corners(800, 600))}
    page.set_input_files("#photo", jpeg)
    expect(page.locator("#photos li img")).to_have_count(1)
    expect(page.locator("#note")).to_have_value("By the gate.")
    page.locator("#photos li img").scroll_into_view_if_needed()
    expect(page.locator("#photos li img")).to_have_js_property("naturalWidth", 320)
    assert ZoneTest.objects.get().note == "By the gate."
    page.fill("#pressure_kpa", "lots")
    page.set_input_files("#photo", jpeg | {"name": "tap.jpg", "buffer": encoded(four_corners(600, 800))})
    expect(page.locator("#checks")).to_contain_text("The photos wait until that is mended.")
    page.fill("#pressure_kpa", "40")  # and now both are kept, without picking it again
    page.locator("#pressure_kpa").blur()
    expect(page.locator("#photos li img")).to_have_count(2)
    page.set_input_files("#photo", jpeg | {"name": "list.jpg", "buffer": b"words"})
    expect(page.locator("#photos .error")).to_contain_text("list.jpg: This isn't a photo that can be read")
    narrow(page)
    page.locator("#photos li a").first.click()
    expect(page.get_by_role("heading", name="Photo of zone 1 Lawn 1")).to_be_visible()
    narrow(page)
    page.get_by_role("link", name="Remove it").click()
    page.get_by_role("button", name="Remove it").click()
    expect(page.locator("#photos li img")).to_have_count(1)
