"""The week sheet by keyboard, as on a morning: walk the lines, decide, change one's mind."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from scheduling.models import Change, ChangeEvent
from scheduling.services.decisions import decline
from tests.browser.conftest import Watched
from tests.night.garden import Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def sheet(desk: Watched, server: str) -> Page:
    desk.page.goto(f"{server}/week/")
    return desk.page


def here(page: Page) -> Locator:
    return page.locator("tr.change.here")


def change_at(line: Locator) -> Change:
    return Change.objects.get(pk=int((line.get_attribute("id") or "").removeprefix("change-")))


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_j_and_k_walk_the_lines(sheet: Page):
    lines = sheet.locator("tr.change")
    press(sheet, "j")
    expect(lines.nth(0)).to_have_class(re.compile(r"\bhere\b"))
    press(sheet, "j")
    expect(lines.nth(1)).to_have_class(re.compile(r"\bhere\b"))
    press(sheet, "k", "k")
    expect(lines.nth(0)).to_have_class(re.compile(r"\bhere\b"))


def test_a_line_is_approved_and_the_next_one_is_at_hand(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    press(sheet, "a")
    expect(sheet.locator(".notice")).to_contain_text("approved")
    expect(sheet.locator(f"#change-{change.pk}")).to_contain_text("approved")
    change.refresh_from_db()
    assert change.status == "approved"
    expect(sheet.locator(f"tr.here.pending:not(#change-{change.pk})")).to_have_count(1)
    expect(sheet.locator("#waiting")).to_contain_text(str(Change.objects.filter(status="pending").count()))


def test_pressing_twice_decides_once(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    press(sheet, "a", "a")
    expect(sheet.locator(f"#change-{change.pk}")).to_contain_text("approved")
    expect(sheet.locator(f"tr.here.pending:not(#change-{change.pk})")).to_have_count(1)
    assert list(Change.objects.filter(status="approved")) == [change]
    assert ChangeEvent.objects.filter(change=change, to_status="approved").count() == 1


def test_an_approval_is_undone(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    press(sheet, "a")
    expect(sheet.locator(".notice")).to_contain_text("approved")
    press(sheet, "u")
    expect(sheet.locator(".notice")).to_contain_text("taken back")
    assert Change.objects.get(pk=change.pk).status == "pending"
    expect(sheet.locator(f"#change-{change.pk}")).to_have_class(re.compile(r"\bhere\b"))


def test_a_value_is_changed_and_approved_with_enter(sheet: Page):
    line = sheet.locator("tr.change:has(input.value)").first
    line.locator("td.why").click()
    line.evaluate("line => line.focus()")
    press(sheet, "e")
    sheet.keyboard.type("95")
    expect(line.locator("button.yes")).to_have_text("Approve 95 %")
    change = change_at(line)
    press(sheet, "Enter")
    expect(sheet.locator(".notice")).to_contain_text("95 % approved")
    assert Change.objects.get(pk=change.pk).decided == 95


def test_a_value_the_controller_cannot_hold_is_told_by_its_field(sheet: Page):
    line = sheet.locator("tr.change:has(input.value)").first
    line.evaluate("line => line.focus()")
    press(sheet, "e")
    sheet.keyboard.type("93")
    press(sheet, "Enter")
    expect(line.locator("td.percent .error")).to_contain_text("steps of 5 %")
    expect(line.locator("input.value")).to_be_focused()
    expect(line.locator("input.value")).to_have_value("93")
    press(sheet, "Escape")
    expect(line.locator("input.value")).not_to_have_value("93")


def test_a_line_is_declined_with_a_note(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    press(sheet, "d")
    sheet.keyboard.type("Wedding on Saturday: just a jog, eh?")
    press(sheet, "Enter")
    expect(sheet.locator(".notice")).to_contain_text("declined")
    expect(sheet.locator(f"#change-{change.pk}")).to_contain_text("Wedding on Saturday")
    assert ChangeEvent.objects.get(change=change, to_status="declined").note.startswith("Wedding")


def test_several_are_selected_added_up_and_approved(sheet: Page):
    press(sheet, "j", "x")
    expect(sheet.locator("#picked")).to_contain_text("1 selected")
    press(sheet, "j", "j", "X")
    expect(sheet.locator("#picked")).to_contain_text("3 selected")
    expect(sheet.locator("#picked")).to_contain_text("gal")
    expect(sheet.locator("#many button.main")).to_have_text("Approve 3 as proposed")
    press(sheet, "a")
    expect(sheet.locator(".notice")).to_contain_text("3 changes approved")
    assert Change.objects.filter(status="approved").count() == 3
    press(sheet, "u")
    expect(sheet.locator(".notice")).to_contain_text("taken back")
    assert Change.objects.filter(status="pending").count() == 3


def test_all_lines_are_selected_at_once(sheet: Page):
    press(sheet, "X")
    expect(sheet.locator("#picked")).to_contain_text(f"{sheet.locator('tr.change').count()} selected")
    expect(sheet.locator("#pick-all")).to_be_checked()


def test_a_typed_value_goes_with_the_selection(sheet: Page):
    line = sheet.locator("tr.change:has(input.value)").first
    change = change_at(line)
    line.locator("input.value").fill("95")
    line.locator(".pick input").check()
    expect(sheet.locator("#many button.main")).to_have_text("Approve 1, 1 with your value")
    sheet.locator("#many button.main").click()
    expect(sheet.locator(".notice")).to_contain_text("95 % approved")
    assert Change.objects.get(pk=change.pk).decided == 95


def test_somebody_who_was_faster_is_shown_in_the_line_and_nothing_is_overwritten(sheet: Page, heron: Garden):
    press(sheet, "j")
    change = change_at(here(sheet))
    decline(change=Change.objects.get(pk=change.pk), by=heron.owner, note="Too early in the year.")
    press(sheet, "a")
    line = sheet.locator(f"#change-{change.pk}")
    expect(line).to_contain_text("nothing was overwritten")
    expect(line).to_contain_text("Too early in the year.")
    assert Change.objects.get(pk=change.pk).status == "declined"


def test_w_opens_the_reasons(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    press(sheet, "w")
    sheet.wait_for_url(f"**/changes/{change.pk}/")


def test_a_question_mark_lists_the_keys_and_they_can_be_switched_off(sheet: Page):
    press(sheet, "?")
    expect(sheet.locator("#keys")).to_be_visible()
    sheet.locator("#keys-on").uncheck()
    press(sheet, "Escape")
    press(sheet, "j")
    expect(here(sheet)).to_have_count(0)
    sheet.reload()
    press(sheet, "j")
    expect(here(sheet)).to_have_count(0)
    sheet.locator("#open-keys").click()
    sheet.locator("#keys-on").check()
    sheet.locator("#keys button").click()
    press(sheet, "j")
    expect(here(sheet)).to_have_count(1)


def test_letters_typed_into_a_field_are_not_taken_for_keys(sheet: Page):
    press(sheet, "/")
    sheet.keyboard.type("jaxd")
    expect(sheet.locator("main input[type=search]")).to_have_value("jaxd")
    assert Change.objects.filter(status="approved").count() == 0


def test_a_service_that_does_not_answer_is_told(sheet: Page):
    press(sheet, "j")
    change = change_at(here(sheet))
    sheet.route("**/approve/**", lambda route: route.abort())
    with sheet.expect_event("requestfailed", lambda asked: f"/{change.pk}/approve/" in asked.url):
        press(sheet, "a")
    expect(sheet.locator(".notice")).to_contain_text("did not reach the service")
    expect(sheet.locator(f"#change-{change.pk}")).to_have_class(re.compile(r"\bpending\b"))
    change.refresh_from_db()
    assert change.status == "pending"


def test_a_session_that_ended_leads_to_signing_in(sheet: Page):
    sheet.context.clear_cookies(name="sessionid")
    press(sheet, "j", "a")
    sheet.wait_for_url("**/sign-in/?signed-out=1")
