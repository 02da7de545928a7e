"""On a small phone: advice is proposed, approved on the week sheet, ticked by the technician, and runs."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.models import Membership, User, Visit, Zone
from scheduling.models import Advice, Change, Program
from scheduling.services.advising import advise, open_sites
from tests.browser.conftest import Watched, sign_in, watched
from tests.browser.test_every_page import serious
from tests.cast import PASSWORD
from tests.night.garden import ON, Garden, garden, weather

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "has_touch": True}


@pytest.fixture
def place(transactional_db: None, settings: Any) -> Garden:
    """Two lawns watered twice a week, one of them on sand, and a technician who comes today."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=36.0, zones=2, days="mon thu", units="us")
    weather(made.cell)
    Zone.objects.filter(pk=made.zones[1].pk).update(soil="sand")
    advise(open_sites(), on=ON)
    person = User.objects.create_user("tech@heron.test", PASSWORD, name="Rosa")
    Membership.objects.create(user=person, company=made.company, role="technician")
    Visit.objects.create(site=made.site, date=ON)
    return made


@pytest.fixture(params=["light", pytest.param("dark", marks=pytest.mark.prove)])
def phone(request: Any, browser: Browser, server: str, place: Garden) -> Iterator[Watched]:
    context = browser.new_context(**PHONE, color_scheme=request.param)
    seen = watched(context)
    sign_in(seen.page, server, place.owner.email)
    yield seen
    context.close()


def fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert serious(page) == []


def test_from_the_advice_to_the_program_that_runs(
    phone: Watched, browser: Browser, server: str, place: Garden
) -> None:
    page = phone.page
    page.goto(f"{server}/advice/")
    line = page.locator(f"#advice-{Advice.objects.get(kind='too few days').pk}")
    line.get_by_role("button", name="Propose this").tap()
    expect(page.locator("#notices")).to_contain_text("days Mon Thu →")
    expect(line).to_contain_text("waiting")
    expect(line.get_by_role("button", name="Propose this")).to_have_count(0)
    fits(page)

    change = Change.objects.get(kind="days")
    line.get_by_role("link", name="waiting").tap()
    page.wait_for_url(f"**/changes/{change.pk}/")
    page.wait_for_selector("html[data-drawn=yes]", state="attached")
    expect(page.locator("main")).to_contain_text("What is keyed in")
    fits(page)

    page.goto(f"{server}/week/?view=programs")
    row = page.locator(f"#change-{change.pk}")
    expect(row).to_contain_text("days Mon Thu →")
    fits(page)
    row.get_by_role("button", name="Approve").tap()
    expect(row).to_contain_text("approved")
    change.refresh_from_db()
    assert change.status == "approved"
    page.locator("form[action='/sign-out/'] button").tap()
    page.wait_for_url("**/sign-in/**")

    the_technician_keys_it_in(phone, server, change)

    days = Program.objects.get(effective=ON).days
    assert days == change.altered.programs[0].after.days
    sign_in(page, server, place.owner.email)
    page.goto(f"{server}/sites/{place.site.pk}/")
    said = " ".join(day.capitalize() for day in days.split())
    expect(page.locator("#programs + .scroll, table.nightgrid").first).to_contain_text(said)
    page.goto(f"{server}/advice/")
    expect(page.locator("main")).to_contain_text("entered, in force from the night of Tue Jul 14")
    assert phone.complaints == []


def the_technician_keys_it_in(phone: Watched, server: str, change: Change) -> None:
    page = phone.page
    sign_in(page, server, "tech@heron.test")
    page.goto(f"{server}/field/")
    entry = page.locator("form.entry", has_text="Lawns")
    expect(entry).to_contain_text("Key in")
    expect(entry).to_contain_text("Mon Thu")
    entry.locator("summary").tap()
    expect(entry).to_contain_text("2 Lawn 2: 36 min")
    fits(page)
    entry.get_by_role("button", name="Entered").tap()
    expect(page.locator("#notices")).to_contain_text("Lawns, A: entered")
    change.refresh_from_db()
    assert change.status == "applied"
    page.locator("form[action='/sign-out/'] button").tap()
    page.wait_for_url("**/sign-in/**")
