"""Every refusal the source is known for, and what is done about it.

The texts are those of its public server code and issues as of August 2026.
"""

import socket
import time
from datetime import UTC, date, datetime, timedelta

import pytest

from tests.weather.conftest import ON, many_cells
from tests.weather.stand_in import broken_stream, gateway_page, refusal
from weather.providers import asking

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2026, 7, 11), date(2026, 7, 16)

MINUTE = "Minutely API request limit exceeded. Please try again in one minute."
HOUR = "Hourly API request limit exceeded. Please try again in the next hour."
DAY = "Daily API request limit exceeded. Please try again tomorrow."
NO_DATA = "No data is available for this location"
PAST = "Parameter 'past_days' is mutually exclusive with 'start_date' and 'end_date'"
VARIABLE = (
    "Data corrupted at path ''. Cannot initialize ForecastVariableDaily from invalid String value "
    "temperature_2m."
)
COUNT = "Parameter 'latitude' and 'longitude' must have the same number of elements"
HEIGHTS = "Parameter 'elevation' must have the same number of elements as coordinates"


def fetch(open_meteo, cells):
    return open_meteo.fetch(cells, first=FIRST, last=LAST, on=ON)


@pytest.mark.parametrize(
    ("status", "reason", "code"),
    [
        (400, VARIABLE, "bad_request"),
        (400, COUNT, "bad_request"),
        (400, HEIGHTS, "bad_request"),
        (400, PAST, "bad_request"),
        (400, "The supplied API key is invalid.", "bad_key"),
        (400, "Please use the customer- prefixed URL for POST requests", "wrong_address"),
        (401, "API key required. Please add &apikey= to the URL.", "no_key"),
        (403, "This API endpoint requires the API Professional or Enterprise plan", "not_in_plan"),
        (404, "Not Found", "wrong_address"),
        (301, "", "wrong_address"),
    ],
)
def test_what_somebody_must_fix_is_asked_once_and_raises_an_alert(
    open_meteo, stand_in, cells, status, reason, code
):
    open_meteo.batch = 1
    stand_in.refuse = lambda _: refusal(status, reason)
    answer = fetch(open_meteo, cells)
    assert len(stand_in.asked) == 1
    assert [alert.code for alert in answer.alerts] == [code]
    assert [(problem.code, problem.retryable) for problem in answer.problems] == [(code, False)] * 3


def test_a_plan_without_the_archive_still_gets_the_forecast(open_meteo, stand_in, cell):
    plan = "This API endpoint requires the API Professional or Enterprise plan"
    stand_in.refuse = lambda asked: refusal(403, plan) if asked["first"].year == 2025 else None
    answer = open_meteo.fetch([cell], first=date(2025, 12, 1), last=LAST, on=ON)
    assert [problem.code for problem in answer.problems] == ["not_in_plan"]
    assert answer.cells[cell.pk][0].days[-1].date == LAST


@pytest.mark.parametrize(
    ("reason", "code"),
    [
        ("Latitude must be in range of -90 to 90°. Given: 384.412.", "bad_place"),
        (NO_DATA, "no_data"),
        ("Invalid timezone", "bad_timezone"),
        ("Something nobody has seen before", "refused"),
    ],
)
def test_one_bad_place_among_200_is_found_by_halving(open_meteo, stand_in, reason, code):
    cells = many_cells(200)
    bad = round(cells[117].longitude, 3)
    stand_in.refuse = lambda asked: (
        refusal(400, reason) if bad in [float(x) for x in asked["longitude"]] else None
    )
    answer = fetch(open_meteo, cells)
    assert [(problem.cell_id, problem.code, problem.retryable) for problem in answer.problems] == [
        (cells[117].pk, code, False)
    ]
    assert len(answer.cells) == 199
    assert len(stand_in.asked) <= 17


def test_when_nearly_every_place_is_refused_the_asking_ends(open_meteo, stand_in):
    stand_in.refuse = lambda _: refusal(400, "Something nobody has seen before")
    answer = fetch(open_meteo, many_cells(200))
    assert len(stand_in.asked) == 65
    assert len(answer.problems) == 200


@pytest.mark.parametrize(
    "reason",
    [
        "Only up to 1000 locations can be requested at once",
        "Your API call requests too much data. Please reduce the number of variables, locations and/or "
        "weather models.",
    ],
)
def test_a_batch_that_is_too_big_is_split(open_meteo, stand_in, reason):
    stand_in.refuse = lambda asked: refusal(400, reason) if len(asked["latitude"]) > 25 else None
    answer = fetch(open_meteo, many_cells(80))
    assert [len(asked["latitude"]) for asked in stand_in.asked] == [80, 40, 20, 20, 40, 20, 20]
    assert len(answer.cells) == 80
    assert answer.problems == []


def test_dates_out_of_range_are_cut_to_the_range(open_meteo, stand_in, cell):
    reason = "Parameter 'end_date' is out of allowed range from 2026-04-11 to 2026-07-15"
    stand_in.refuse = lambda asked: refusal(400, reason) if asked["last"] > date(2026, 7, 15) else None
    answer = fetch(open_meteo, [cell])
    assert [asked["last"] for asked in stand_in.asked] == [LAST, date(2026, 7, 15)]
    assert answer.cells[cell.pk][0].days[-1].date == date(2026, 7, 15)
    assert answer.problems == []


def test_dates_too_old_for_the_forecast_come_from_the_archive(open_meteo, stand_in, cell):
    reason = "Parameter 'start_date' is out of allowed range from 2026-07-13 to 2026-11-29"
    forecast_refuses = iter([refusal(400, reason)])
    stand_in.refuse = lambda _: next(forecast_refuses, None)
    answer = fetch(open_meteo, [cell])
    assert stand_in.paths == ["/v1/forecast", "/v1/forecast", "/v1/archive"]
    days = sorted((day.date, day.quality) for part in answer.cells[cell.pk] for day in part.days)
    assert days[0] == (date(2026, 7, 11), "reanalysis")
    assert days[-1] == (LAST, "forecast")
    assert len(days) == 6


def test_dates_the_source_does_not_hold_at_all_are_said(open_meteo, stand_in, cell):
    reason = "Parameter 'start_date' is out of allowed range from 2026-01-01 to 2026-07-05"
    stand_in.refuse = lambda _: refusal(400, reason)
    answer = fetch(open_meteo, [cell])
    assert [problem.code for problem in answer.problems] == ["dates_refused"]


def test_the_minutes_limit_is_waited_for(open_meteo, stand_in, still_clock, cell):
    stand_in.instead = [refusal(429, MINUTE)]
    answer = fetch(open_meteo, [cell])
    assert answer.problems == []
    # It was 20 seconds past; the counter starts again with the minute, and nobody comes on the dot.
    (slept,) = still_clock.slept
    assert 40 < slept < 43


@pytest.mark.parametrize(
    ("reason", "code", "until"),
    [
        (HOUR, "over_hour_limit", datetime(2026, 7, 14, 13, 0, tzinfo=UTC)),
        (DAY, "over_day_limit", datetime(2026, 7, 15, 0, 0, tzinfo=UTC)),
    ],
)
def test_the_hours_and_the_days_limit_end_the_run_and_say_until_when(
    open_meteo, stand_in, still_clock, cells, reason, code, until
):
    open_meteo.batch = 1
    stand_in.refuse = lambda _: refusal(429, reason)
    answer = fetch(open_meteo, cells)
    assert len(stand_in.asked) == 1
    assert still_clock.slept == []
    assert [(problem.code, problem.retry_at) for problem in answer.problems] == [(code, until)] * 3
    assert all(problem.retryable for problem in answer.problems)


def test_too_many_at_once_waits_some_seconds(open_meteo, stand_in, still_clock, cell):
    stand_in.instead = [refusal(429, "Too many concurrent requests")]
    assert fetch(open_meteo, [cell]).problems == []
    assert 3 < still_clock.slept[0] < 6


def test_a_retry_after_header_is_believed_if_there_ever_is_one(open_meteo, stand_in, still_clock, cell):
    stand_in.instead = [refusal(429, MINUTE, Retry_After="7")]
    assert fetch(open_meteo, [cell]).problems == []
    assert 7 < still_clock.slept[0] < 10


def test_a_retry_after_date_far_away_ends_the_run(open_meteo, stand_in, still_clock, cell):
    stand_in.instead = [refusal(503, "busy", Retry_After="Tue, 14 Jul 2026 15:00:00 GMT")]
    (problem,) = fetch(open_meteo, [cell]).problems
    assert problem.retry_at == datetime(2026, 7, 14, 15, 0, tzinfo=UTC)
    assert still_clock.slept == []


def gateway_page_in_disguise():
    page = gateway_page()
    page.status_code = 200
    return page


FLEETING = {
    "500": lambda: refusal(500, "Something went wrong."),
    "503": lambda: refusal(503, "The service is overloaded"),
    "502 page": gateway_page,
    "stream that breaks off": broken_stream,
    "page with status 200": gateway_page_in_disguise,
}


@pytest.mark.parametrize("trouble", FLEETING.values(), ids=FLEETING)
def test_fleeting_trouble_is_tried_again_with_growing_waits(open_meteo, stand_in, still_clock, cell, trouble):
    stand_in.instead = [trouble(), trouble()]
    answer = fetch(open_meteo, [cell])
    assert len(stand_in.asked) == 3
    assert answer.problems == []
    assert 1.5 <= still_clock.slept[0] <= 2.5
    assert 3.0 <= still_clock.slept[1] <= 5.0


@pytest.mark.parametrize("trouble", FLEETING.values(), ids=FLEETING)
def test_after_three_tries_the_row_is_left_for_later(open_meteo, stand_in, cell, trouble):
    stand_in.instead = [trouble() for _ in range(4)]
    answer = fetch(open_meteo, [cell])
    assert len(stand_in.asked) == 3
    assert [problem.retryable for problem in answer.problems] == [True]


def test_a_source_that_does_not_answer_in_time_is_tried_again(open_meteo, stand_in, cell, monkeypatch):
    monkeypatch.setattr(asking, "CONNECT_READ_S", (1.0, 0.25))
    waits = iter([0.35])
    stand_in.refuse = lambda _: time.sleep(next(waits, 0.0))
    answer = fetch(open_meteo, [cell])
    assert len(stand_in.asked) == 2
    assert answer.problems == []


def test_a_source_that_never_answers_in_time_is_said_plainly(open_meteo, stand_in, cell, monkeypatch):
    monkeypatch.setattr(asking, "CONNECT_READ_S", (1.0, 0.05))
    answered = []

    def slow(_):
        time.sleep(0.1)
        answered.append(True)

    stand_in.refuse = slow
    (problem,) = fetch(open_meteo, [cell]).problems
    while len(answered) < 3:  # the server still works on what nobody waits for
        time.sleep(0.01)
    assert (problem.code, problem.message) == ("timeout", "The weather source didn't answer in time.")


def test_a_source_that_cannot_be_reached_is_said_plainly(open_meteo, cell):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        open_meteo.url = f"http://127.0.0.1:{free.getsockname()[1]}/v1/forecast"
    (problem,) = fetch(open_meteo, [cell]).problems
    assert (problem.code, problem.message) == ("unreachable", "The weather source couldn't be reached.")


def test_an_address_that_is_none_raises_an_alert(open_meteo, cell):
    open_meteo.url = "api.example"
    answer = fetch(open_meteo, [cell])
    assert [alert.code for alert in answer.alerts] == ["wrong_address"]


def test_after_three_failed_batches_the_source_is_left_alone(open_meteo, stand_in):
    open_meteo.batch = 1
    stand_in.refuse = lambda _: refusal(500, "Something went wrong.")
    answer = fetch(open_meteo, many_cells(10))
    assert len(stand_in.asked) == 9
    codes = [problem.code for problem in answer.problems]
    assert codes == ["server_error"] * 3 + ["source_down"] * 7
    assert [alert.code for alert in answer.alerts] == ["source_down"]


def test_failures_that_are_not_in_a_row_do_not_stop_the_asking(open_meteo, stand_in):
    open_meteo.batch = 1
    cells = many_cells(9)
    good = {round(cell.longitude, 3) for cell in cells[2::3]}
    stand_in.refuse = lambda asked: (
        None if float(asked["longitude"][0]) in good else refusal(500, "Something went wrong.")
    )
    answer = fetch(open_meteo, cells)
    assert len(answer.cells) == 3
    assert {problem.code for problem in answer.problems} == {"server_error"}


def test_one_failed_batch_does_not_stop_the_others(open_meteo, stand_in):
    open_meteo.batch = 10
    cells = many_cells(30)
    bad = round(cells[15].longitude, 3)
    stand_in.refuse = lambda asked: (
        refusal(500, "Something went wrong.") if bad in [float(x) for x in asked["longitude"]] else None
    )
    answer = fetch(open_meteo, cells)
    assert len(answer.cells) == 20
    assert {problem.cell_id for problem in answer.problems} == {cell.pk for cell in cells[10:20]}


def test_no_message_holds_the_key(open_meteo, stand_in, cell):
    open_meteo.key = "a-secret"
    for status in (400, 401, 403, 404, 429, 500):
        stand_in.refuse = lambda _, status=status: refusal(status, "apikey=a-secret")
        answer = fetch(open_meteo, [cell])
        assert answer.problems and "a-secret" not in repr(answer)


def test_the_wait_for_the_minute_is_not_longer_than_it_takes(open_meteo, stand_in, still_clock, cell):
    still_clock.moment += timedelta(seconds=39)
    stand_in.instead = [refusal(429, MINUTE)]
    fetch(open_meteo, [cell])
    assert still_clock.slept[0] < 4
