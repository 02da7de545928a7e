"""Every page opened by the owner: quiet console, no other host, no wider than the screen, readable by all."""

from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import get_resolver, resolve, reverse
from playwright.sync_api import Browser, Page, ViewportSize

from tests.browser.conftest import Watched, addresses, sign_in, watched
from tests.night.garden import ON, Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAPER = 713
# What passes needn't be written out, nor styles be fetched again for the one rule on turned screens.
ONLY_VIOLATIONS: dict[str, Any] = {"resultTypes": ["violations"], "preload": False}
# What a page is made of is asked once; of the other scheme what hangs on colours alone, which every page has
# from the same names: on those with most of them, and on all by make prove (dark, 360).
ONLY_COLOURS = ONLY_VIOLATIONS | {"runOnly": ["color-contrast"]}
COLOURFUL = ("morning", "week", "why", "site", "plan", "night", "use", "summary", "measured", "history")
TO_PRESS = """() => [...document.querySelectorAll(
    "nav, button, input[type=search], input[type=checkbox], select, textarea")]
    .filter(e => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 0)
    .map(e => e.outerHTML.slice(0, 120))"""
# What reaches beyond the edge of a page so wide; a table may scroll in a part of its own.
WIDER = """(width) => document.documentElement.scrollWidth <= width ? [] :
    [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > width + 1)
    .map(e => e.outerHTML.slice(0, 90))"""


def opened(page: Page, server: str, address: str) -> None:
    page.goto(f"{server}{address}")
    if page.locator("figure[data-chart]").count():
        page.wait_for_selector("html[data-drawn=yes]", state="attached")


POSTED = """sign-out company client-reader-add field-enter field-zone field-broken field-mended field-rain
    field-visit field-undo cans-live cans-use cans-put-back round-begin round-done round-finding episode-end
    settings-policy-effect settings-person settings-call-off settings-drop-price settings-usual-kinds
    settings-drop-kind settings-rule-effect settings-drop-rule settings-town-stage settings-town-adopt-all
    settings-town-adopt settings-drop-town settings-take-back letter-again letter-arrived letter-stop
    meter-live meter-drop meter-reading-drop meter-bill-drop
    finding-photos advice-dismiss advice-propose advice-take-up approve decline undo enter approve-many
    decline-many undo-many enter-many settings-price-example not-routine-remove summaries-make summaries-send
    summary-approve summary-hold summary-release summary-remark summary-refresh client-summaries-stop
    client-summaries-resume use-alert-dismiss use-alert-again note-answer note-skip note-take-back
    note-withdraw"""
FILES = """clients-csv clients-xlsx clients-water-csv clients-water-xlsx set-up-template history-file
    card-paper months-paper letter-file
    client-pack advice-file photo-full photo-small summary-paper"""
NOT_OPENED = {
    **dict.fromkeys(POSTED.split(), "only posted to; what it answers is a page of the list or leads to one"),
    **dict.fromkeys(FILES.split(), "a file"),
    "sign-in": "opened before anybody is signed in",
    "summaries": "leads to a month; what a reader finds there: tests/desk/summaries/test_pages.py",
    "summary-letter": "a letter under a mail program's rules, not a page's",
}


def test_every_address_is_opened_or_has_a_reason_why_not(heron: Garden):
    named = {str(one.name) for one in get_resolver("desk.urls").url_patterns}
    paths = [urlsplit(address).path for address in addresses(heron).values() if address != "/not-there/"]
    opened_here = {str(resolve(path).url_name) for path in paths}
    assert opened_here.isdisjoint(NOT_OPENED)
    assert named - opened_here == set(NOT_OPENED)


def test_what_is_only_posted_to_shows_no_page(heron: Garden):
    browser = Client()
    browser.force_login(heron.owner)
    for one in get_resolver("desk.urls").url_patterns:
        if one.name in POSTED.split():
            known = one.pattern.converters
            address = reverse(
                f"desk:{one.name}", kwargs={name: ON if name == "month" else 1 for name in known}
            )
            assert browser.get(address).status_code == 405, one.name


def test_charts_are_drawn(desk: Watched, server: str, heron: Garden):
    for name, count in (("why", 2), ("why of a skip", 0), ("site", 1)):
        opened(desk.page, server, addresses(heron)[name])
        assert desk.page.locator("figure .drawing svg").count() == count, name
        for n in range(count):
            box = desk.page.locator("figure .drawing svg").nth(n).bounding_box()
            assert box is not None
            assert box["width"] > 300


OFTEN = [("light", 360), ("dark", 1280)]  # every scheme and every width; make prove tries the other pairs too
RARELY = [
    pytest.param("light", 1280, marks=pytest.mark.prove),
    pytest.param("dark", 360, marks=pytest.mark.prove),
]


@pytest.mark.parametrize(("scheme", "width"), [*OFTEN, *RARELY])
def test_every_page_is_quiet_and_fits_and_shuts_nobody_out(
    browser: Browser, server: str, heron: Garden, scheme: Any, width: int
):
    """Every page is opened once and asked everything; with the dark scheme at a desk on paper, too."""
    size: ViewportSize = {"width": width, "height": 900}
    context = browser.new_context(viewport=size, color_scheme=scheme, has_touch=width == 360)
    seen = watched(context)
    seen.page.goto(f"{server}/sign-in/")
    found = {"sign-in": [*wider(seen.page, width), *serious(seen.page)]}
    sign_in(seen.page, server, heron.owner.email)
    for name, address in addresses(heron).items():
        seen.complaints.clear()
        opened(seen.page, server, address)
        expected = ["404"] if name == "not there" else []
        found[name] = [c for c in seen.complaints if not any(e in c for e in expected)]
        found[name] += wider(seen.page, width)
        if (scheme, width) == ("dark", 1280):
            found[name] += wrong_on_paper(seen.page)
            seen.page.emulate_media(media="screen", color_scheme=scheme)
            seen.page.set_viewport_size(size)
        if (scheme, width) != ("dark", 1280) or name in COLOURFUL:
            seen.page.evaluate(
                "document.querySelectorAll('details.behind').forEach(one => { one.open = true })"
            )
            found[name] += serious(seen.page, options=ONLY_COLOURS if scheme == "dark" else ONLY_VIOLATIONS)
    assert set(COLOURFUL) <= set(found)
    assert {name: what for name, what in found.items() if what} == {}
    assert seen.hosts == {server.removeprefix("http://")}
    context.close()


def wider(page: Page, width: int) -> list[str]:
    reached: list[str] = page.evaluate(WIDER, width)
    return [f"wider than {width} px: {what}" for what in reached]


def serious(page: Page, *, options: dict[str, Any] = ONLY_VIOLATIONS) -> list[str]:
    violations = Axe().run(page, options=options).response["violations"]
    return [
        f"{v['id']}: {v['nodes'][0]['html'][:160]}"
        for v in violations
        if v["impact"] in ("serious", "critical")
    ]


def wrong_on_paper(page: Page) -> list[str]:
    """A page on paper is its content and nothing to press, black on white.

    A sheet of US Letter less its margins is 713 px wide; what is wider would be cut off.
    """
    page.emulate_media(media="print", color_scheme="dark")
    page.set_viewport_size({"width": PAPER, "height": 900})
    wrong = [f"on paper {what}" for what in wider(page, PAPER)]
    wrong += [f"still to press on paper: {what}" for what in page.evaluate(TO_PRESS)]
    if not page.locator("h1").first.is_visible():
        wrong.append("no heading on paper")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    return wrong if paper == "rgb(255, 255, 255)" else [*wrong, f"the paper is {paper}"]


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
