"""Retries run from rows: with growing waits, a last attempt, and nothing lost when somebody dies half-way."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from tests.weather.conftest import ON, TIMEZONE, ago
from tests.weather.stand_in import refusal
from weather.models import FetchDay, ObservedDay
from weather.services import claims
from weather.services.claims import claim
from weather.services.fetch import fetch_due
from weather.services.retry import drain
from weather.tasks import try_failed_again

pytestmark = pytest.mark.django_db

MORNING = datetime(2026, 7, 14, 12, 0, tzinfo=UTC)


@pytest.fixture
def failing(open_meteo, stand_in):
    stand_in.refuse = lambda _: refusal(500, "Something went wrong.")
    return open_meteo


def test_a_failed_pull_is_due_again_in_some_minutes(failing, cell):
    with time_machine.travel(MORNING, tick=False):
        fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing)
    row = FetchDay.objects.get()
    assert (row.state, row.code, row.attempts) == ("failed", "server_error", 1)
    assert row.next_attempt_at is not None
    assert MORNING + timedelta(minutes=9) <= row.next_attempt_at <= MORNING + timedelta(minutes=11)


def test_the_drain_leaves_a_row_alone_until_its_time_has_come(failing, stand_in, cell):
    with time_machine.travel(MORNING, tick=False) as now:
        fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing)
        asked = len(stand_in.asked)
        now.shift(timedelta(minutes=5))
        assert drain(source=failing).cells == 0
        assert len(stand_in.asked) == asked


def test_the_drain_fetches_what_failed_once_its_time_has_come(failing, stand_in, cells):
    with time_machine.travel(MORNING, tick=False) as now:
        fetch_due(on=ON, timezone=TIMEZONE, cells=cells, source=failing)
        stand_in.refuse = lambda _: None
        now.shift(timedelta(minutes=12))
        report = drain(source=failing)
    assert (report.done, report.failures) == (3, [])
    assert set(FetchDay.objects.values_list("state", "code")) == {("done", "")}
    assert ObservedDay.objects.filter(date=ago(1)).count() == 3


def test_waits_grow_and_after_six_attempts_the_morning_is_given_up(failing, cell):
    waits = []
    with time_machine.travel(MORNING, tick=False) as now:
        fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing)
        while (row := FetchDay.objects.get()).state == "failed" and row.next_attempt_at:
            waits.append((row.next_attempt_at - timezone.now()).total_seconds() / 60)
            now.move_to(row.next_attempt_at)
            drain(source=failing)
    assert row.attempts == 6
    assert (row.state, row.next_attempt_at) == ("given_up", None)
    assert waits == pytest.approx([10, 20, 40, 80, 120], rel=0.1)


def test_the_source_says_when_to_come_back(open_meteo, stand_in, still_clock, cell):
    stand_in.refuse = lambda _: refusal(429, "Daily API request limit exceeded. Please try again tomorrow.")
    with time_machine.travel(MORNING, tick=False):
        fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=open_meteo)
    assert FetchDay.objects.get().next_attempt_at == datetime(2026, 7, 15, 0, 0, tzinfo=UTC)


def test_what_cannot_succeed_is_not_tried_again(open_meteo, stand_in, cell):
    stand_in.refuse = lambda _: refusal(400, "No data is available for this location")
    fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=open_meteo)
    assert FetchDay.objects.get().state == "given_up"


def test_a_night_run_again_by_hand_does_not_wait(failing, stand_in, cell):
    fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing)
    stand_in.refuse = lambda _: None
    assert fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing).done == 1
    assert FetchDay.objects.get().attempts == 2


def test_the_next_mornings_pull_covers_what_earlier_ones_missed(failing, stand_in, cell):
    fetch_due(on=ago(1), timezone=TIMEZONE, cells=[cell], source=failing)
    stand_in.refuse = lambda _: None
    fetch_due(on=ON, timezone=TIMEZONE, cells=[cell], source=failing)
    assert dict(FetchDay.objects.values_list("date", "code")) == {ago(1): "covered", ON: ""}
    assert set(FetchDay.objects.values_list("state", flat=True)) == {"done"}


def test_a_claim_whose_owner_died_is_taken_up_after_its_lease(open_meteo, cell):
    with time_machine.travel(MORNING, tick=False) as now:
        claim(cells=[cell], on=ON, again=False)
        now.shift(timedelta(minutes=10))
        assert drain(source=open_meteo).cells == 0
        now.shift(timedelta(minutes=7))
        assert drain(source=open_meteo).done == 1


def test_two_who_saw_the_same_rows_do_not_both_get_them(cells, monkeypatch):
    """The second one read the rows before the first one claimed them."""
    as_seen = claims._as_seen
    first: list[Any] = []

    def seen_before_the_other(rows):
        seen = as_seen(rows)
        if not first:
            first.append(None)
            first[0] = claim(cells=cells, on=ON, again=False)
        return seen

    monkeypatch.setattr(claims, "_as_seen", seen_before_the_other)
    assert claim(cells=cells, on=ON, again=False) == []
    assert first == [cells]


def test_the_task_drains(open_meteo, cell, settings):
    settings.WEATHER_SOURCE = "invented"
    FetchDay.objects.create(
        cell=cell, date=ON, state="failed", next_attempt_at=timezone.now() - timedelta(minutes=1)
    )
    assert try_failed_again()["done"] == 1
