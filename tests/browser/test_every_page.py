"""Every page opened by the owner: quiet console, no other host, no wider than the screen, readable by all."""

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Watched, addresses, sign_in, watched
from tests.night.garden import Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


# What reaches beyond the edge of a page so wide; a table may scroll in a part of its own.
WIDER = """(width) => document.documentElement.scrollWidth <= width ? [] :
    [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > width + 1)
    .map(e => e.outerHTML.slice(0, 90))"""


def opened(page: Page, server: str, address: str) -> None:
    page.goto(f"{server}{address}")
    if page.locator("figure[data-chart]").count():
        page.wait_for_selector("html[data-drawn=yes]", state="attached")


def test_no_page_complains_or_asks_another_host(desk: Watched, server: str, heron: Garden):
    for name, address in addresses(heron).items():
        desk.complaints.clear()
        opened(desk.page, server, address)
        expected = ["404"] if name == "not there" else []
        assert [c for c in desk.complaints if not any(e in c for e in expected)] == [], name
    assert desk.hosts == {server.removeprefix("http://")}


def test_charts_are_drawn(desk: Watched, server: str, heron: Garden):
    for name, count in (("why", 2), ("why of a skip", 0), ("site", 1)):
        opened(desk.page, server, addresses(heron)[name])
        assert desk.page.locator("figure .drawing svg").count() == count, name
        for n in range(count):
            box = desk.page.locator("figure .drawing svg").nth(n).bounding_box()
            assert box is not None
            assert box["width"] > 300


@pytest.fixture
def phone(browser: Browser, server: str, heron: Garden) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    seen = watched(context)
    sign_in(seen.page, server, heron.owner.email)
    yield seen.page
    context.close()


def test_nothing_is_wider_than_a_small_phone(phone: Page, server: str, heron: Garden):
    for name, address in addresses(heron).items():
        opened(phone, server, address)
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360, name


OFTEN = [("light", 360), ("dark", 1280)]  # every scheme and every width; make prove tries the other pairs too
RARELY = [
    pytest.param("light", 1280, marks=pytest.mark.prove),
    pytest.param("dark", 360, marks=pytest.mark.prove),
]


@pytest.mark.parametrize(("scheme", "width"), [*OFTEN, *RARELY])
def test_nobody_is_shut_out(browser: Browser, server: str, heron: Garden, scheme: Any, width: int):
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page = watched(context).page
    page.goto(f"{server}/sign-in/")
    found = {"sign-in": serious(page)}
    sign_in(page, server, heron.owner.email)
    for name, address in addresses(heron).items():
        opened(page, server, address)
        page.evaluate("document.querySelectorAll('details.behind').forEach(one => { one.open = true })")
        found[name] = serious(page)
    context.close()
    assert {name: what for name, what in found.items() if what} == {}


def serious(page: Page) -> list[str]:
    violations = Axe().run(page).response["violations"]
    return [
        f"{v['id']}: {v['nodes'][0]['html'][:160]}"
        for v in violations
        if v["impact"] in ("serious", "critical")
    ]


def test_a_page_on_paper_is_its_content_and_nothing_to_press(desk: Watched, server: str, heron: Garden):
    """A sheet of US Letter less its margins is 713 px wide; what is wider would be cut off."""
    desk.page.emulate_media(media="print", color_scheme="dark")
    desk.page.set_viewport_size({"width": 713, "height": 900})
    for name, address in addresses(heron).items():
        opened(desk.page, server, address)
        assert desk.page.locator("h1").first.is_visible(), name
        assert desk.page.evaluate(WIDER, 713) == [], name
        for part in ("nav", "button", "input[type=search]", "input[type=checkbox]", "select", "textarea"):
            shown = [
                one.evaluate("e => e.outerHTML.slice(0, 120)")
                for one in desk.page.locator(part).all()
                if one.is_visible()
            ]
            assert shown == [], name
        paper = desk.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert paper == "rgb(255, 255, 255)", name


def test_pages_work_with_scripts_off(browser: Browser, server: str, heron: Garden):
    context = browser.new_context(java_script_enabled=False)
    page = watched(context).page
    sign_in(page, server, heron.owner.email)
    page.goto(f"{server}/week/")
    line = page.locator("tr.change").first
    name = line.locator("a.name").inner_text()
    line.locator("button.yes").click()
    assert name in page.locator(".notice").inner_text()
    page.locator(".notice button").click()
    assert "taken back" in page.locator(".notice").inner_text()
    page.goto(f"{server}{addresses(heron)['why']}")
    page.locator("details.behind summary").first.click()
    assert page.locator("details.behind table").first.is_visible()
    context.close()
