"""A site's daily weather over REST; amounts as stored."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Site
from tests.cast import TODAY, Cast
from weather.models import ForecastDay, ObservedDay, WeatherCell

pytestmark = pytest.mark.django_db


@pytest.fixture
def cell(cast: Cast) -> WeatherCell:
    cell = WeatherCell.objects.create(
        latitude=39.195, longitude=-121.095, elevation_m=310, timezone=cast.site.timezone
    )
    Site.objects.filter(pk=cast.site.pk).update(cell=cell)
    return cell


def observed(cell: WeatherCell, days_ago: int, **said: Any) -> None:
    usual = {"t_min_c": 12.0, "t_max_c": 30.0, "rain_mm": 0.0, "reference_et_mm": 6.5}
    ObservedDay.objects.create(
        cell=cell,
        date=TODAY - timedelta(days=days_ago),
        et_method="penman-monteith",
        quality="analysis",
        source="open-meteo",
        **usual | said,
    )


def foreseen(cell: WeatherCell, ahead: int, *, issued: int, **said: Any) -> None:
    at = datetime(2026, 7, 6, issued, tzinfo=ZoneInfo(cell.timezone))
    ForecastDay.objects.create(cell=cell, date=TODAY + timedelta(days=ahead), issued_at=at, **said)


def ask(api: Any, cast: Cast, who: Any = None, **asked: Any) -> Any:
    api.force_authenticate(who or cast.owner)
    return api.get(f"/api/v1/sites/{cast.site.pk}/weather/", asked)


def test_days_gone_by_and_days_to_come_as_foreseen_last(api, cast: Cast, cell):
    observed(cell, 1, rain_mm=None)
    foreseen(cell, 0, issued=3, rain_mm=1.0, t_min_c=11.0, t_max_c=25.0)
    foreseen(cell, 0, issued=4, rain_mm=2.5, t_min_c=11.0, t_max_c=25.0)
    foreseen(cell, 0, issued=23, rain_mm=9.0)  # not known in the morning
    answer = ask(api, cast).json()
    assert (answer["site"], answer["from"], answer["to"]) == (cast.site.pk, "2026-06-06", "2026-07-22")
    assert answer["days"] == [
        {
            "date": "2026-07-05",
            "kind": "observed",
            "t_min_c": 12.0,
            "t_max_c": 30.0,
            "rain_mm": None,
            "reference_et_mm": 6.5,
            "method": "penman-monteith",
            "quality": "analysis",
            "source": "open-meteo",
            "issued_at": None,
        },
        {
            "date": "2026-07-06",
            "kind": "forecast",
            "t_min_c": 11.0,
            "t_max_c": 25.0,
            "rain_mm": 2.5,
            "reference_et_mm": None,
            "method": "",
            "quality": "forecast",
            "source": "",
            "issued_at": "2026-07-06T11:00:00Z",
        },
    ]


def test_the_days_asked_for_are_both_included(api, cast: Cast, cell):
    for days_ago in range(1, 6):
        observed(cell, days_ago)
    answer = ask(api, cast, **{"from": "2026-07-02", "to": "2026-07-04"}).json()
    assert [day["date"] for day in answer["days"]] == ["2026-07-02", "2026-07-03", "2026-07-04"]


def test_a_site_without_weather_has_no_days(api, cast: Cast):
    assert ask(api, cast).json()["days"] == []


@pytest.mark.parametrize(
    "asked",
    [
        {"from": "soon"},
        {"from": ""},
        {"to": "2026-02-30"},
        {"to": "9999-12-31"},
        {"from": "0001-01-01"},
        {"from": "2026-07-09", "to": "2026-07-01"},
        {"from": "2000-01-01", "to": "2026-01-01"},
    ],
)
def test_bad_days_are_told(api, cast: Cast, asked):
    answer = ask(api, cast, **asked)
    assert answer.status_code == 400
    assert {error["field"] for error in answer.json()["errors"]} <= {"from", "to"}


def test_a_client_reads_their_own_and_a_stranger_none(api, cast: Cast, stranger, cell):
    assert ask(api, cast, cast.client_person).status_code == 200
    assert ask(api, cast, stranger).status_code == 404


def test_a_month_costs_as_many_queries_as_a_day(api, cast: Cast, cell):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert ask(api, cast).status_code == 200
        return len(seen)

    observed(cell, 1)
    queries()
    few = queries()
    for days_ago in range(2, 30):
        observed(cell, days_ago)
    assert queries() == few <= 5
