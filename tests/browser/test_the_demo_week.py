"""The main job on the demo, end to end: ten approved in the browser, ten through the API, the next night."""

from collections.abc import Iterator
from typing import Any

import pytest
import requests
from django.core.management import call_command
from playwright.sync_api import Browser

from scheduling.demo.company import PASSWORD
from scheduling.demo.loading import load
from scheduling.models import Change, Setting, Skip
from scheduling.services.nightly import run_night
from tests.browser.conftest import watched
from tests.night.garden import ON, TIMEZONE
from tests.night.test_by_hand import percent_by_hand, stress_by_hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OWNER = "owner@bluestem.example"


@pytest.fixture
def demo_night(transactional_db: None, settings: Any) -> Iterator[dict[str, int]]:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    settings.INVENTED_WEATHER_SEED = 1380
    load()
    _, report = run_night(on=ON, timezone=TIMEZONE)
    yield report.counts


def ten_in_the_browser(browser: Browser, server: str) -> list[int]:
    """Tick ten percents on the week sheet and approve them together."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    seen = watched(context)
    page = seen.page
    page.goto(f"{server}/sign-in/")
    page.fill("#email", OWNER)
    page.fill("#password", PASSWORD)
    page.click("button.main")
    page.goto(f"{server}/week/?view=down")
    boxes = page.locator("input[type=checkbox][name=change]")
    chosen = [int(boxes.nth(n).get_attribute("value") or 0) for n in range(10)]
    for n in range(10):
        boxes.nth(n).check()
    with page.expect_response(lambda answer: "/week/approve/" in answer.url):
        page.get_by_role("button", name="Approve").last.click()
    page.wait_for_load_state("networkidle")
    assert seen.complaints == []
    assert seen.hosts == {server.removeprefix("http://")}
    context.close()
    return chosen


def ten_through_the_api(server: str) -> list[int]:
    """Approve ten more, and enter all twenty."""
    api = requests.Session()
    token = api.post(
        f"{server}/api/v1/token/", json={"email": OWNER, "password": PASSWORD}, timeout=20
    ).json()
    api.headers["Authorization"] = f"Bearer {token['token']}"
    pending = api.get(f"{server}/api/v1/changes/", params={"status": "pending"}, timeout=20).json()["results"]
    chosen = [row["id"] for row in pending[:10]]
    for pk in chosen:
        answer = api.post(f"{server}/api/v1/changes/{pk}/approve/", json={}, timeout=20)
        assert answer.json()["status"] == "approved"
    approved = api.get(f"{server}/api/v1/changes/", params={"status": "approved"}, timeout=20).json()[
        "results"
    ]
    for row in approved:
        night = max(row["effective_from"], ON.isoformat())
        answer = api.post(
            f"{server}/api/v1/changes/{row['id']}/apply/", json={"applied_on": night}, timeout=20
        )
        assert answer.json()["status"] == "applied", answer.text
    return chosen


def test_twenty_approved_and_entered_then_the_next_night_plans_from_them(
    browser: Browser, server: str, demo_night: dict[str, int]
) -> None:
    assert demo_night["proposed"] > demo_night["programs"] / 2
    call_command("nightly", "--json")
    in_browser = ten_in_the_browser(browser, server)
    assert Change.objects.filter(pk__in=in_browser, status="approved").count() == 10
    through_api = ten_through_the_api(server)
    twenty = Change.objects.filter(pk__in=in_browser + through_api)
    assert twenty.filter(status="applied").count() == 20
    for change in twenty.filter(kind="percent"):
        assert Setting.objects.get(change=change, program=change.program).percent == change.decided
    for change in twenty.exclude(kind="percent"):
        assert Skip.objects.filter(change=change).exists()

    next_day = ON.replace(day=15)
    run_night(on=next_day, timezone=TIMEZONE)
    later = Change.objects.filter(kind="percent", inputs__on=next_day.isoformat())
    entered = {
        change.program_id: change.decided
        for change in Change.objects.filter(kind="percent", status="applied", applied_on__lte=next_day)
    }
    planned_from = [change for change in later if change.program_id in entered]
    assert all(change.current == entered[change.program_id] for change in planned_from)
    assert later
    for change in later[:25]:
        assert change.proposed == percent_by_hand(change.inputs)
        row = change.inputs["percents"].index(change.proposed)
        assert change.inputs["stress"][row] == pytest.approx(stress_by_hand(change.inputs, row), abs=1e-9)
