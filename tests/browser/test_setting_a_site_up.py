"""Twelve zones set up by what a person sees: on a phone, the browser closed between, and at a desk."""

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.models import Site
from tests.browser.conftest import sign_in, watched
from tests.night.garden import Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
BLOCK = "\n".join(f"{n}\tBed {n}\t\t{400 + n}\tShrubs\tDrip\tLoam\tFull sun\t2" for n in range(1, 13))
TABLE = "Zone,Name,Area (sq ft),Plants,Heads\n" + "\n".join(
    f"{n},Strip {n},{500 + n},Lawn,Rotor" for n in range(1, 13)
)


def opened(browser: Browser, server: str, heron: Garden, *, width: int, storage: Any = None) -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 740},
        has_touch=width < 500,
        storage_state=storage,
        permissions=["geolocation"],
        geolocation={"latitude": 39.2081, "longitude": -121.0069},
    )
    page = watched(context).page
    if storage is None:
        sign_in(page, server, heron.owner.email)
    return page


def on(page: Page) -> None:
    """Press the button that goes on."""
    page.locator("p.buttons").get_by_role("button", name="Next", exact=True).click()


def step(page: Page, name: str) -> None:
    page.get_by_role("heading", level=1, name=re.compile(f"^{name}")).wait_for()


def kept(page: Page, words: str = "Kept") -> None:
    page.locator("#kept").get_by_text(words).first.wait_for()


def begin(page: Page, server: str) -> None:
    page.goto(server)
    page.get_by_role("link", name="Set up a site").click()
    page.get_by_role("button", name="Begin a new site").click()


def client_and_place(page: Page) -> None:
    step(page, "Client")
    page.get_by_label("Name of the new client").fill("Marsh Court")
    on(page)
    step(page, "Site")
    page.get_by_label("Name of the site").fill("Court")
    page.get_by_role("button", name="Use this device's position").click()
    kept(page, "America/Los_Angeles")
    kept(page, "assumed from Heron grounds")
    on(page)


def to_the_end(page: Page) -> None:
    step(page, "Check")
    assert "Nothing." in page.locator("main").inner_text()
    on(page)
    step(page, "Open access")
    page.get_by_label("Open from").fill("2026-07-14")
    page.get_by_label("E-mail addresses of those who may look").fill("reader@marsh.test")
    page.get_by_role("button", name="Create the site").click()
    page.get_by_role("heading", level=1, name="Court").wait_for()


def test_on_a_phone_with_the_browser_closed_in_between(browser: Browser, server: str, heron: Garden):
    page = opened(browser, server, heron, width=360)
    begin(page, server)
    client_and_place(page)
    step(page, "Water")
    page.get_by_label("Name of the new source").fill("Tap")
    page.get_by_label("Bucket holds").fill("5")
    page.get_by_label("Seconds until it is full").fill("20")
    kept(page, "15.0")  # 5 gal in 20 s
    on(page)
    step(page, "Controllers")
    page.get_by_label("Name", exact=True).fill("Garage")
    page.get_by_label("Name", exact=True).blur()
    expect(page.locator("[name=nth]")).not_to_have_value("0")
    kept(page)
    page.wait_for_load_state("networkidle")
    signed = page.context.storage_state()
    page.context.close()  # the battery is empty

    page = opened(browser, server, heron, width=360, storage=signed)
    page.goto(f"{server}/set-up/")
    page.get_by_role("link", name="Marsh Court · Court", exact=True).click()
    step(page, "Controllers")
    assert page.get_by_label("Name", exact=True).input_value() == "Garage"
    on(page)
    step(page, "Zones")
    page.get_by_label("More zones").fill("12")
    page.get_by_label("of the kind").select_option(label="Lawn, pop-up sprays, loam, flat")
    page.get_by_role("button", name="Add", exact=True).click()
    for n in range(1, 13):
        page.get_by_label(f"Area of zone {n}", exact=True).fill(str(600 + n))
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        if n < 12:
            page.get_by_role("button", name="Next zone").click()
    kept(page, "nothing missing")
    on(page)
    step(page, "Settings found")
    page.get_by_label("Days of program A").fill("Mon Wed Fri")
    page.get_by_label("Starts of program A").fill("4:00")
    for n in range(1, 13):
        page.get_by_label(f"program A, minutes, zone {n}", exact=True).fill("12")
    on(page)
    step(page, "Plan")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    on(page)
    to_the_end(page)
    made = Site.objects.get(name="Court")
    assert [zone.area_m2 > 55 for zone in made.controllers.get().zones.all()] == [True] * 12
    assert made.client.accesses.get().user.email == "reader@marsh.test"
    page.context.close()


def test_a_block_is_pasted_and_moved_through_by_keys(browser: Browser, server: str, heron: Garden):
    page = opened(browser, server, heron, width=1280)
    begin(page, server)
    client_and_place(page)
    page.goto(page.url.replace("/water/", "/zones/"))
    page.get_by_role("button", name="Add", exact=True).click()
    first = page.get_by_label("Number", exact=True)
    first.evaluate(
        """(cell, text) => {
            const data = new DataTransfer();
            data.setData("text/plain", text);
            const pasted = { clipboardData: data, bubbles: true, cancelable: true };
            cell.dispatchEvent(new ClipboardEvent("paste", pasted));
        }""",
        BLOCK,
    )
    kept(page, "12 zones, nothing missing")
    rows = page.locator("#grid tbody tr")
    assert rows.count() == 12
    assert page.locator("[name='11-area']").input_value() == "412"
    page.locator("[name='0-area']").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.name") == "1-area"
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("document.activeElement.name") == "0-kind"
    page.locator("[name='1-area']").focus()
    page.keyboard.press("Control+d")
    assert page.locator("[name='1-area']").input_value() == "401"
    page.get_by_role("button", name="Save", exact=True).click()
    assert page.locator("[name='1-area']").input_value() == "401"
    page.get_by_role("button", name="Remove zone 2").click()
    assert page.locator("#grid tbody tr").count() == 11
    page.context.close()


def test_a_file_is_opened_and_taken(browser: Browser, server: str, heron: Garden, tmp_path: Path):
    page = opened(browser, server, heron, width=1280)
    begin(page, server)
    client_and_place(page)
    page.goto(page.url.replace("/water/", "/zones/"))
    page.get_by_role("link", name="Paste rows or open a file").click()
    file = tmp_path / "zones.csv"
    file.write_text(TABLE)
    page.get_by_label("Or a file").set_input_files(file)
    page.get_by_role("button", name="Read it").click()
    page.get_by_text("12 rows, all of them can be taken").wait_for()
    page.get_by_role("button", name="Take these zones").click()
    page.get_by_text("12 zones taken into the grid.").wait_for()
    on(page)
    step(page, "Settings found")
    on(page)
    step(page, "Plan")
    on(page)
    to_the_end(page)
    zone = Site.objects.get(name="Court").controllers.get().zones.get(number=12)
    assert (zone.name, zone.plant, zone.head) == ("Strip 12", "cool_turf", "rotor")
    page.context.close()


def test_twelve_zones_from_kinds_take_few_keys_and_clicks(browser: Browser, server: str, heron: Garden):
    """A person types about two keys a second and clicks once in two: so many are well under five minutes."""
    page = opened(browser, server, heron, width=1280)
    page.add_init_script(
        """addEventListener("keydown", () => count("keys"), true);
        addEventListener("click", (event) => event.isTrusted && count("clicks"), true);
        function count(what) { sessionStorage[what] = 1 + Number(sessionStorage[what] || 0); }"""
    )
    begin(page, server)
    page.get_by_label("Name of the new client").press_sequentially("Marsh Court")
    on(page)
    page.get_by_label("Name of the site").press_sequentially("Court")
    page.get_by_role("button", name="Use this device's position").click()
    kept(page, "America/Los_Angeles")
    on(page)
    on(page)
    on(page)
    page.get_by_label("More zones").click(click_count=3)
    page.keyboard.type("12")
    page.keyboard.press("Tab")
    page.keyboard.type("Lawn, pop-up")
    page.get_by_role("button", name="Add", exact=True).click()
    page.locator("[name='0-area']").click()
    for n in range(12):
        page.keyboard.type(str(800 + n))
        page.keyboard.press("Enter")
    kept(page, "12 zones, nothing missing")
    for _ in range(3):
        on(page)
    step(page, "Check")
    on(page)
    page.get_by_role("button", name="Create the site").click()
    page.get_by_role("heading", level=1, name="Court").wait_for()
    keys, clicks = (int(page.evaluate(f"sessionStorage.getItem('{what}')")) for what in ("keys", "clicks"))
    print(f"{keys} keys and {clicks} clicks for a site of twelve zones")  # noqa: T201
    assert keys / 2 + clicks * 2 < 5 * 60
    assert keys + clicks < 150
    page.context.close()


def test_without_scripts_it_goes_as_well(browser: Browser, server: str, heron: Garden):
    context = browser.new_context(java_script_enabled=False)
    page = watched(context).page
    sign_in(page, server, heron.owner.email)
    begin(page, server)
    page.get_by_label("Name of the new client").fill("Marsh Court")
    on(page)
    page.get_by_label("Name of the site").fill("Court")
    page.get_by_label("Address").fill("12 Elm Street, Grass Valley CA 95945")
    page.get_by_role("button", name="Save", exact=True).click()
    assert "about the middle of ZIP 95945" in page.locator("#kept").inner_text()
    page.goto(page.url.replace("/place/", "/zones/"))
    page.get_by_label("More zones").fill("3")
    page.get_by_role("button", name="Add", exact=True).click()
    page.locator("[name='0-area']").fill("700")
    page.get_by_label("Column").select_option("area")
    page.get_by_role("button", name="Fill down").click()
    assert page.locator("[name='2-area']").input_value() == "700"
    page.get_by_role("link", name="Survey zone 2").click()
    page.get_by_text("Work it out").first.click()
    page.locator("[name='sum-rect-a']").fill("30")
    page.locator("[name='sum-rect-b']").fill("20")
    page.locator("button[value='use:rect']").click()
    assert page.locator("#area").input_value() == "600"
    context.close()
