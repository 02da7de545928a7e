"""The source's allowance: counted before anything is sent, kept below 80 %, waited for or left for later."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.weather.conftest import ON, many_cells
from tests.weather.stand_in import refusal
from weather.models import SourceUsage
from weather.providers.allowance import Allowance, window_end
from weather.providers.errors import Throttled
from weather.providers.open_meteo.pull import weight_of

pytestmark = pytest.mark.django_db


def used(window: str) -> float:
    return sum(SourceUsage.objects.filter(window=window).values_list("weight", flat=True))


@pytest.mark.parametrize(
    ("places", "days", "weight"),
    [(100, 9, 100.0), (1000, 13, 1000.0), (1, 14, 1.0), (1, 365, 23.464), (10, 28, 18.0)],
)
def test_a_request_weighs_what_the_source_says(places, days, weight):
    """Its published rule: max(1, v/10, v/10 x days/14) for each place, here with 9 variables."""
    assert weight_of(places, days) == pytest.approx(weight, abs=0.001)


def test_a_request_is_counted_in_all_three_windows(open_meteo, cells):
    open_meteo.fetch(cells, first=ON, last=ON, on=ON)
    assert (used("minute"), used("hour"), used("day")) == (3.0, 3.0, 3.0)
    starts = dict(SourceUsage.objects.values_list("window", "window_start"))
    assert starts == {
        "minute": datetime(2026, 7, 14, 12, 30, tzinfo=UTC),
        "hour": datetime(2026, 7, 14, 12, 0, tzinfo=UTC),
        "day": datetime(2026, 7, 14, 0, 0, tzinfo=UTC),
    }


def test_it_is_counted_before_it_is_sent(open_meteo, stand_in, cell, monkeypatch):
    order = []
    take = Allowance.take

    def counted(self, weight):
        order.append("counted")
        return take(self, weight)

    monkeypatch.setattr(Allowance, "take", counted)
    stand_in.refuse = lambda _: order.append("sent")
    open_meteo.fetch([cell], first=ON, last=ON, on=ON)
    assert order == ["counted", "sent"]


def test_a_repeat_counts_as_one_more(open_meteo, stand_in, cells):
    stand_in.instead = [refusal(500, "Something went wrong.")]
    open_meteo.fetch(cells, first=ON, last=ON, on=ON)
    assert used("day") == 4.0


def test_a_refused_request_counts_as_one(open_meteo, stand_in):
    stand_in.refuse = lambda _: refusal(401, "API key required.")
    open_meteo.fetch(many_cells(50), first=ON, last=ON, on=ON)
    assert used("day") == 1.0


def test_not_more_than_80_percent_of_a_minute_goes_out_within_it(open_meteo, stand_in, still_clock):
    open_meteo.limits = {"minute": 100, "hour": 0, "day": 0}
    open_meteo.batch = 40
    answer = open_meteo.fetch(many_cells(120), first=ON, last=ON, on=ON)
    assert len(answer.cells) == 120
    assert len(still_clock.slept) == 1
    minutes = SourceUsage.objects.filter(window="minute").order_by("window_start")
    assert list(minutes.values_list("weight", flat=True)) == [80.0, 40.0]


def test_a_batch_is_made_small_enough_for_the_allowance(open_meteo, stand_in):
    open_meteo.limits = {"minute": 50, "hour": 0, "day": 0}
    open_meteo.fetch(many_cells(60), first=ON, last=ON, on=ON)
    assert [len(asked["latitude"]) for asked in stand_in.asked] == [40, 20]


def test_when_the_hour_is_used_up_nothing_more_is_sent_and_it_is_said_until_when(
    open_meteo, stand_in, still_clock
):
    open_meteo.limits = {"minute": 0, "hour": 25, "day": 0}
    open_meteo.batch = 10
    answer = open_meteo.fetch(many_cells(40), first=ON, last=ON, on=ON)
    assert len(stand_in.asked) == 2
    assert len(answer.cells) == 20
    assert {(problem.code, problem.retry_at) for problem in answer.problems} == {
        ("own_hour_limit", datetime(2026, 7, 14, 13, 0, tzinfo=UTC))
    }
    assert used("day") == 20.0


def test_one_request_bigger_than_the_allowance_goes_out_alone(open_meteo, stand_in, cell):
    open_meteo.limits = {"minute": 10, "hour": 0, "day": 0}
    answer = open_meteo.fetch([cell], first=ON - timedelta(days=365), last=ON - timedelta(days=93), on=ON)
    assert answer.problems == []


def test_what_does_not_fit_is_counted_nowhere():
    allowance = Allowance(source="s", limits={"minute": 10, "hour": 100, "day": 0})
    allowance.take(8.0)
    with pytest.raises(Throttled):
        allowance.take(1.0)
    assert (used("minute"), used("hour"), used("day")) == (8.0, 8.0, 8.0)


def test_each_source_has_its_own_allowance():
    Allowance(source="one", limits={"minute": 10}).take(8.0)
    Allowance(source="other", limits={"minute": 10}).take(8.0)
    assert used("minute") == 16.0


def test_old_counts_are_thrown_away_with_a_new_day():
    SourceUsage.objects.create(
        source="s", window="day", window_start=datetime(2020, 1, 1, tzinfo=UTC), weight=5.0
    )
    Allowance(source="s", limits={}).take(1.0)
    assert used("day") == 1.0


@pytest.mark.parametrize(
    ("window", "end"),
    [
        ("minute", datetime(2026, 7, 14, 12, 31, tzinfo=UTC)),
        ("hour", datetime(2026, 7, 14, 13, 0, tzinfo=UTC)),
        ("day", datetime(2026, 7, 15, 0, 0, tzinfo=UTC)),
    ],
)
def test_windows_follow_the_clock_in_utc(window, end):
    assert window_end(window, datetime(2026, 7, 14, 12, 30, 20, 5, tzinfo=UTC)) == end
