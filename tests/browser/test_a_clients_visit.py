"""A client on a phone: from signing in to their site and its history; nothing to press but to read."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from fleet.models import ClientAccess, User
from scheduling.models import Change
from tests.browser.conftest import Watched, sign_in, watched
from tests.browser.test_every_page import serious
from tests.cast import PASSWORD
from tests.night.garden import ON, Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
EMAIL = "reader@heron.test"


@pytest.fixture
def visit(browser: Browser, server: str, heron: Garden) -> Iterator[Watched]:
    heron.client.access_from = ON
    heron.client.save()
    user = User.objects.create_user(EMAIL, PASSWORD)
    ClientAccess.objects.create(user=user, client=heron.client)
    context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    seen = watched(context)
    sign_in(seen.page, server, EMAIL)
    yield seen
    context.close()


def test_a_client_reads_their_week_their_site_and_its_history(visit: Watched, server: str, heron: Garden):
    page, before = visit.page, list(Change.objects.values_list("pk", "status"))
    expect(page.locator("h1")).to_have_text("Your sites")
    expect(page.locator("main")).to_contain_text("Tonight")
    seen = [page.url]
    _readable(visit)
    page.get_by_role("link", name=str(heron.site), exact=True).click()
    expect(page.locator("h1")).to_have_text(str(heron.site))
    page.wait_for_selector("html[data-drawn=yes]", state="attached")
    seen.append(page.url)
    _readable(visit)
    page.get_by_role("link", name="What was changed here, and why").click()
    expect(page.locator("h1")).to_have_text("What was changed here, and why")
    expect(page.locator("main")).to_contain_text("your contractor")
    seen.append(page.url)
    _readable(visit)
    assert len(set(seen)) == 3
    assert visit.complaints == []
    assert visit.hosts == {server.removeprefix("http://")}
    assert list(Change.objects.values_list("pk", "status")) == before


def test_a_client_finds_their_zone(visit: Watched, heron: Garden):
    page = visit.page
    page.keyboard.press("/")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.type("zone 2")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Zone 2").click()
    expect(page.locator("h1")).to_have_text(str(heron.site))
    assert page.url.endswith(f"#zone-{heron.zones[1].pk}")


def _readable(visit: Watched) -> None:
    """Nothing wider than the phone, nobody shut out, and nothing to change anything with but signing out."""
    page = visit.page
    assert page.evaluate("document.documentElement.scrollWidth") <= 360, page.url
    assert serious(page) == []
    posts = page.eval_on_selector_all(
        "form[method=post]", "forms => forms.map(f => f.getAttribute('action'))"
    )
    assert posts == ["/sign-out/"]
    text = page.locator("main").inner_text()
    for kept_back in ("$", "waiting for a decision", "Approve"):
        assert kept_back not in text, (page.url, kept_back)
