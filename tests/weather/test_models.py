"""What the database itself refuses, and what it fills in for rows that hold little."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, transaction

from tests.weather.conftest import ON, observed
from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay, SourceUsage, WeatherCell

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 7, 14, 12, tzinfo=UTC)
PLACE = {"latitude": 1.005, "longitude": 1.005, "elevation_m": 0.0, "timezone": "UTC"}


def test_an_observed_day_needs_only_its_cell_and_date(cell):
    day = ObservedDay.objects.create(cell=cell, date=ON)
    assert (day.rain_mm, day.t_min_c, day.reference_et_mm) == (None, None, None)
    assert (day.quality, day.source, day.flags) == ("station", "", [])
    assert day.fetched_at is not None


def test_a_forecast_day_needs_only_its_cell_date_and_moment(cell):
    day = ForecastDay.objects.create(cell=cell, date=ON, issued_at=NOW)
    assert (day.quality, day.rain_mm, day.rain_probability) == ("forecast", None, None)


@pytest.mark.parametrize(
    "wrong",
    [
        {"t_min_c": 20.0, "t_max_c": 19.9},
        {"rain_mm": -0.1},
        {"reference_et_mm": -0.1},
        {"quality": "hearsay"},
    ],
)
@pytest.mark.parametrize("model", [ObservedDay, ForecastDay])
def test_a_day_that_cannot_be_is_refused(cell, model, wrong):
    issued = {"issued_at": NOW} if model is ForecastDay else {}
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.create(cell=cell, date=ON, **issued, **wrong)


def test_equal_extremes_are_allowed(cell):
    assert observed(cell, ON, t_min_c=20.0, t_max_c=20.0).pk


@pytest.mark.parametrize("probability", [-0.01, 1.01])
def test_a_probability_is_a_ratio(cell, probability):
    with pytest.raises(IntegrityError), transaction.atomic():
        ForecastDay.objects.create(cell=cell, date=ON, issued_at=NOW, rain_probability=probability)


@pytest.mark.parametrize(
    "wrong",
    [{"latitude": 90.1}, {"longitude": -180.1}, {"elevation_m": -451.0}, {"timezone": ""}],
)
def test_a_cell_off_the_map_is_refused(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        WeatherCell.objects.create(**PLACE | wrong)


@pytest.mark.parametrize("wrong", [{"month": 0}, {"month": 13}, {"rain_mm": -1.0}, {"reference_et_mm": -1.0}])
def test_a_normal_that_cannot_be_is_refused(cell, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        MonthlyNormal.objects.create(**{"cell": cell, "month": 7, "reference_et_mm": 6.0} | wrong)


def test_nothing_is_there_twice(cell):
    rows: list[tuple[Any, dict[str, Any]]] = [
        (ObservedDay, {"cell": cell, "date": ON}),
        (ForecastDay, {"cell": cell, "date": ON, "issued_at": NOW}),
        (FetchDay, {"cell": cell, "date": ON}),
        (MonthlyNormal, {"cell": cell, "month": 7, "reference_et_mm": 6.0}),
        (SourceUsage, {"source": "s", "window": "day", "window_start": NOW}),
        (WeatherCell, PLACE),
    ]
    for model, fields in rows:
        model.objects.create(**fields)
        with pytest.raises(IntegrityError), transaction.atomic():
            model.objects.create(**fields)


def test_every_weather_model_says_that_it_is_shared():
    assert {
        getattr(model, "company_path", "missing") for model in apps.get_app_config("weather").get_models()
    } == {None}
