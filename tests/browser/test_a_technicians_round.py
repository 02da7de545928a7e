"""A round on a small phone: everything entered in a real browser, then the night that uses it."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from fleet.models import Finding, Membership, SiteRain, SoilObservation, User, ZoneTrim
from scheduling.models import Change, Setting
from scheduling.services.decisions import approve
from scheduling.services.nightly import run_night
from tests.browser.conftest import Watched, sign_in, watched
from tests.browser.test_every_page import serious
from tests.cast import PASSWORD
from tests.night.garden import ON, TIMEZONE, Garden, foresee
from weather.models import ObservedDay

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
YESTERDAY, TOMORROW = ON - timedelta(days=1), ON + timedelta(days=1)
PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "has_touch": True}


@pytest.fixture
def rained(heron: Garden) -> Garden:
    """The heron's garden with its percents approved, and 12 mm of rain yesterday by the weather source."""
    ObservedDay.objects.filter(cell=heron.cell, date=YESTERDAY).update(rain_mm=12.0)
    for change in Change.objects.filter(status="pending"):
        approve(change=change, by=heron.owner)
    person = User.objects.create_user("tech@heron.test", PASSWORD, name="Rosa")
    Membership.objects.create(user=person, company=heron.company, role="technician")
    return heron


@pytest.fixture(params=["light", pytest.param("dark", marks=pytest.mark.prove)])
def phone(request: Any, browser: Browser, server: str, rained: Garden) -> Iterator[Watched]:
    context = browser.new_context(**PHONE, color_scheme=request.param)
    seen = watched(context)
    sign_in(seen.page, server, "tech@heron.test")
    seen.page.goto(f"{server}/field/")
    yield seen
    context.close()


def unfold(page: Page) -> None:
    page.evaluate("document.querySelectorAll('.stop details').forEach(one => { one.open = true })")


def zone(page: Page, name: str) -> Locator:
    return page.locator("details.seen", has=page.locator("summary", has_text=name))


def told(page: Page, words: str) -> None:
    expect(page.locator("#notices")).to_contain_text(words)


def usual(day: Any) -> dict[str, Any]:
    return {"date": day, "t_min_c": 14.0, "t_max_c": 30.0, "reference_et_mm": 6.0}


def next_morning(place: Garden, settings: Any) -> None:
    """Let a usual day pass and run the next night."""
    dry = usual(ON) | {"rain_mm": 0.0, "quality": "station"}
    ObservedDay.objects.update_or_create(cell=place.cell, date=ON, defaults=dry)
    foresee(place.cell, on=TOMORROW, common=usual)
    settings.AS_OF = TOMORROW
    run_night(on=TOMORROW, timezone=TIMEZONE)


def test_the_technicians_round(
    phone: Watched, browser: Browser, server: str, rained: Garden, settings: Any
) -> None:
    page = phone.page
    assert serious(page) == []
    change = Change.objects.get(program=rained.program, kind="percent")
    entry = page.locator("form.entry", has_text="Lawns")
    expect(entry).to_contain_text(f"{change.decided} %")
    entry.locator("input[name=found]").fill("150")
    entry.locator("button").tap()
    told(page, "Lawns, A: entered")
    change.refresh_from_db()
    assert change.status == "applied"
    assert Setting.objects.get(effective_from=YESTERDAY).percent == 150

    unfold(page)
    second = zone(page, "2 Lawn 2")
    second.get_by_role("button", name="dry all through").tap()
    told(page, "Zone 2 Lawn 2: dry all through. It counts from tomorrow's decision on.")

    unfold(page)
    page.get_by_role("button", name="No rain here on Mon Jul 13").tap()
    told(page, "no rain on Mon Jul 13")

    unfold(page)
    second = zone(page, "2 Lawn 2")
    second.locator("input[name=reason]").fill("Shade of the new hall")
    second.get_by_role("button", name="a tenth less").tap()
    told(page, "a tenth less from today on, Shade of the new hall")

    unfold(page)
    broken = zone(page, "2 Lawn 2")
    broken.locator("select[name=part]").select_option("nozzle")
    broken.locator("input[name=lost]").fill("10")
    broken.locator("input[name=note]").fill("by the gate")
    broken.get_by_role("button", name="Something is broken").tap()
    told(page, "Broken: nozzle at 2 Lawn 2")
    assert Finding.objects.get().lost_l_day == pytest.approx(37.85, abs=0.01)
    expect(page.locator(".stop").first).to_contain_text("10 gal a day")

    unfold(page)
    zone(page, "1 Lawn 1").get_by_role("button", name="wet all through").tap()
    told(page, "Zone 1 Lawn 1: wet all through")
    assert serious(page) == []
    page.locator("#notices").get_by_role("button", name="Undo").tap()
    told(page, "Taken back: Zone 1 Lawn 1: wet all through.")
    assert list(SoilObservation.objects.values_list("zone__number", "depletion_share")) == [(2, 0.9)]
    unfold(page)
    assert serious(page) == []
    assert phone.complaints == []

    page.locator("form[action='/sign-out/'] button").tap()
    page.wait_for_url("**/sign-in/**")
    next_morning(rained, settings)
    inputs = Change.objects.get(kind="percent", effective_from=TOMORROW).inputs
    assert inputs["weather"]["rain_on_site"] == [
        {"date": str(YESTERDAY), "rain_mm": 0.0, "source_mm": 12.0, "how": "said_dry"}
    ]
    lawn = next(unit for unit in inputs["units"] if unit["number"] == 2)
    assert lawn["trim"] == ZoneTrim.objects.get().factor == 0.9
    # Dry all through is 0.9 of 51 mm; four minutes of water and a held-back day's ET move it by a millimetre.
    assert lawn["start_mm"] == pytest.approx(45.9, abs=1.0)
    assert SiteRain.objects.count() == 1
    the_office_sees_it(browser, server, rained)


def the_office_sees_it(browser: Browser, server: str, place: Garden) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = watched(context).page
    sign_in(page, server, place.owner.email)
    page.goto(f"{server}/week/")
    page.locator("tr.change.pending a.name").first.click()
    expect(page.locator("main")).to_contain_text("Mon Jul 13: no rain. The weather source says 0.47 in")
    context.close()


def test_every_target_is_large_enough_for_a_thumb(phone: Watched) -> None:
    page = phone.page
    unfold(page)
    targets = page.locator(
        ".stop button, .stop input:not([type=hidden]), .stop select, .stop summary, .stop a"
    )
    small = []
    for target in targets.all():
        box = target.bounding_box()
        if target.is_visible() and box is not None and (box["height"] < 44 or box["width"] < 44):
            small.append(f"{target.evaluate('one => one.outerHTML')[:90]}: {box['width']}x{box['height']}")
    assert small == []
    assert targets.count() > 20
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_what_was_typed_survives_a_failed_send(phone: Watched, server: str) -> None:
    """Without a network the browser keeps the form; sent again, it arrives once."""
    page = phone.page
    unfold(page)
    second = zone(page, "2 Lawn 2")
    second.locator("input[name=reason]").fill("Shade of the new hall")
    page.context.set_offline(True)
    second.get_by_role("button", name="a tenth less").click(no_wait_after=True)
    page.wait_for_timeout(500)
    assert not ZoneTrim.objects.exists()
    page.context.set_offline(False)
    page.reload()
    told(page, "Shade of the new hall")
    assert ZoneTrim.objects.get().reason == "Shade of the new hall"


def test_a_percent_that_can_not_be_stays_in_its_field(phone: Watched) -> None:
    page = phone.page
    entry = page.locator("form.entry", has_text="Lawns")
    entry.locator("input[name=found]").fill("999")
    entry.locator("button").tap()
    again = page.locator("form.entry", has_text="Lawns").locator("input[name=found]")
    expect(again).to_have_value("999")
    expect(again).to_be_focused()
    assert serious(page) == []


def test_the_way_there_and_the_visit(phone: Watched) -> None:
    page = phone.page
    assert page.locator(".stop a.button").first.get_attribute("href") == "geo:39.20000,-121.10000"
    page.get_by_role("button", name="Visit done").tap()
    told(page, "Visit done")
    expect(page.locator(".stop .done").first).to_contain_text("visit done")
