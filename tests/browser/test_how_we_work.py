"""The settings pages by keyboard: a policy's effect before it is saved, a link for somebody new, a price."""

from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from fleet.models import Membership, Policy, Tariff
from tests.browser.conftest import Watched, watched
from tests.night.garden import Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def to(page: Page, *, name: str, role: Any = "button") -> None:
    """Press Tab until a control has the focus."""
    wanted = page.get_by_role(role, name=name, exact=True).first
    for _ in range(80):
        if wanted.evaluate("one => one === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{name} is not reached by keyboard")


def typed(page: Page, label: str, text: str) -> None:
    to(page, name=label, role="textbox")
    page.keyboard.press("Control+a")
    page.keyboard.type(text)


def test_the_effect_of_a_policy_is_seen_before_it_is_saved_and_one_save_is_taken_back(
    desk: Watched, server: str, heron: Garden
):
    page = desk.page
    page.goto(f"{server}/settings/decisions/")
    effect = page.locator("#effect p").first
    expect(effect).to_contain_text("0 would be approved")
    to(page, name="Approve skips by themselves", role="checkbox")
    page.keyboard.press("Space")
    expect(effect).to_contain_text("As it is saved now: 0.")
    expect(effect).to_contain_text("1 would be approved by itself")
    typed(page, "Approve percent moves by themselves, up to", "500")
    expect(page.locator("#effect dl")).to_contain_text("up to 500 points")
    assert not Policy.objects.filter(client=None, auto_skips=True).exists()
    to(page, name="Save")
    page.keyboard.press("Enter")
    expect(page.locator(".notice")).to_contain_text("Saved.")
    assert Policy.objects.get(client=None).auto_move_points == 500
    to(page, name="Take the last save back")
    page.keyboard.press("Enter")
    expect(page.locator(".notice")).to_contain_text("taken back")
    assert Policy.objects.get(client=None).auto_move_points is None
    assert desk.complaints == []


def test_somebody_new_comes_in_by_a_link(desk: Watched, server: str, heron: Garden, browser: Browser):
    page = desk.page
    page.goto(f"{server}/settings/people/")
    typed(page, "E-mail address", "kim@heron.test")
    page.keyboard.press("Enter")
    link = page.get_by_label("Link for kim@heron.test").input_value()
    context = browser.new_context(viewport={"width": 360, "height": 740})
    other = watched(context).page
    other.goto(link)
    assert other.evaluate("document.documentElement.scrollWidth") <= 360
    for label in ("Your name", "A password, eight characters or more", "The same again"):
        other.get_by_label(label).focus()
        other.keyboard.type("Kim Alder" if label == "Your name" else "a heron at noon")
    other.keyboard.press("Enter")
    expect(other.locator(".notice")).to_contain_text("Welcome to")
    other.goto(f"{server}/settings/")
    expect(other.locator("h1")).to_have_text("The owner and the office keep these pages")
    context.close()
    assert Membership.objects.get(user__email="kim@heron.test").role == "technician"


def test_a_price_is_added_by_keyboard(desk: Watched, server: str, heron: Garden):
    page = desk.page
    page.goto(f"{server}/settings/prices/?per=ccf")
    typed(page, "Name", "Town water")
    typed(page, "Price per CCF (100 ft³)", "4.10 $/CCF")
    page.keyboard.press("Enter")
    expect(page.locator(".blank.told")).to_contain_text("Type a number alone")
    typed(page, "Price per CCF (100 ft³)", "4.10")
    page.keyboard.press("Enter")
    expect(page.locator(".notice")).to_contain_text("Town water is there now")
    expect(page.locator("table.ledger").first).to_contain_text("4.10 USD per CCF")
    assert Tariff.objects.filter(name="Town water").exists()


def test_the_effect_of_a_policy_is_shown_with_scripts_off(
    browser: Browser, server: str, heron: Garden, desk: Watched
):
    context = browser.new_context(java_script_enabled=False, storage_state=desk.page.context.storage_state())
    page = watched(context).page
    page.goto(f"{server}/settings/decisions/")
    page.get_by_label("Approve skips by themselves").check()
    page.get_by_role("button", name="Show effect").click()
    expect(page.locator("#effect p").first).to_contain_text("1 would be approved by itself")
    assert page.get_by_label("Approve skips by themselves").is_checked()
    context.close()
