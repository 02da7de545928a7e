"""The back office in a real browser: its scripts and styles pass the strict policy, and its boxes work."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from fleet.models import Client, User, Zone
from scheduling.models import Change, NightlyRun, Program
from tests.back_office.conftest import address
from tests.browser.conftest import Watched, watched
from tests.cast import PASSWORD
from tests.night.garden import Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(params=["light", pytest.param("dark", marks=pytest.mark.prove)])
def keeper(browser: Browser, server: str, heron: Garden, request: pytest.FixtureRequest) -> Iterator[Watched]:
    """The keeper's browser, signed in."""
    User.objects.create_superuser("keeper@bluestem.test", PASSWORD)
    context = browser.new_context(viewport={"width": 1280, "height": 900}, color_scheme=request.param)
    seen = watched(context)
    seen.page.goto(f"{server}/back-office/")
    seen.page.fill("#id_username", "keeper@bluestem.test")
    seen.page.fill("#id_password", PASSWORD)
    seen.page.click("input[type=submit]")
    seen.page.wait_for_selector("#user-tools")
    yield seen
    context.close()


def test_no_page_of_the_back_office_complains_or_asks_another_host(
    keeper: Watched, server: str, heron: Garden
):
    zone = heron.zones[0]
    zone.name = "Renamed"
    zone.save()
    pages = [
        "/back-office/",
        address(Zone, "changelist"),
        address(Zone, "change", zone.pk),
        address(Zone, "history", zone.pk),
        address(Zone, "simple_history", zone.pk, zone.history.first().pk),
        address(Zone, "delete", zone.pk),
        address(Zone, "deleted"),
        address(Program, "change", heron.program.pk),
        address(User, "change", heron.owner.pk),
        address(Change, "change", Change.objects.first().pk),
        address(NightlyRun, "changelist"),
    ]
    for page in pages:
        answer = keeper.page.goto(f"{server}{page}")
        assert answer is not None
        assert answer.status == 200, page
        assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert keeper.complaints == []
    assert keeper.hosts == {server.removeprefix("http://")}


def test_the_box_to_pick_a_row_finds_it_as_one_types(keeper: Watched, server: str, heron: Garden):
    keeper.page.goto(f"{server}{address(Zone, 'add')}")
    keeper.page.click(".select2-selection")
    keeper.page.keyboard.type(heron.controller.name[:4])
    found = keeper.page.locator(".select2-results__option", has_text=heron.controller.name)
    found.first.click()
    assert heron.controller.name in keeper.page.locator(".select2-selection").inner_text()
    assert keeper.complaints == []


def test_what_is_asked_first_is_answered_by_a_click(keeper: Watched, server: str, heron: Garden):
    Client.objects.update(access_from="2026-01-01")
    keeper.page.goto(f"{server}{address(Client, 'changelist')}")
    keeper.page.locator("input[name=_selected_action]").first.check()
    keeper.page.select_option("select[name=action]", "close_access")
    keeper.page.click("button[name=index]")
    assert "Close access of these clients?" in keeper.page.locator("#content").inner_text()
    keeper.page.click("input[type=submit][value='Close access']")
    assert "Access closed" in keeper.page.locator(".messagelist").inner_text()
    assert not Client.objects.filter(pk=heron.client.pk, access_from__isnull=False).exists()
    assert keeper.complaints == []
