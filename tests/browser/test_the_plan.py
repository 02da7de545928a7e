"""A plan typed over and adopted, by keys alone."""

import pytest

from scheduling.models import Program
from tests.browser.conftest import Watched
from tests.night.garden import ON, Garden

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_number_is_typed_over_its_effect_seen_and_adopted(desk: Watched, server: str, heron: Garden):
    page, field = desk.page, f"zone-{heron.zones[0].pk}-minutes"
    page.goto(f"{server}/controllers/{heron.controller.pk}/plan/")
    page.wait_for_selector("html[data-drawn=yes]", state="attached")
    before = page.locator("tfoot").inner_text()
    page.focus(f"#{field}")
    page.keyboard.type("10")
    page.keyboard.press("Tab")
    page.wait_for_selector(f"#{field}[value='10']")
    assert page.locator("tfoot").inner_text() != before
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"  # where the key had led
    page.keyboard.press("Enter")
    assert "set as 10 min" in page.locator("details[open]").inner_text()
    assert page.locator("figure .drawing svg").count() == 1
    page.locator("form.plan button.main").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("h1:has-text('Adopt this plan?')")
    page.locator("button.main").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/sites/{heron.site.pk}/")
    assert "the plan holds from the night of" in page.locator("#notices").inner_text()
    newest = Program.objects.filter(controller=heron.controller, effective=ON)
    assert 10 in newest.values_list("runs__minutes", flat=True)
    assert desk.complaints == []
