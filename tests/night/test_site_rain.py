"""Rain as seen on a site: counted there instead of the weather source's, and nowhere else."""

from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Site, SiteRain
from fleet.services.site_rain import note_rain
from reports.selectors.savings import client_savings
from scheduling.models import Change
from scheduling.selectors.season_load import Loaded, load_season
from scheduling.services.nightly import run_night
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather
from weather.models import ForecastDay, ObservedDay

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]
DAY = timedelta(days=1)
YESTERDAY, TWO_AGO = ON - DAY, ON - 2 * DAY


@pytest.fixture(autouse=True)
def invented(settings: Any) -> None:
    settings.WEATHER_SOURCE = "invented"


def lawn() -> Garden:
    """A lawn that was watered enough, and 12 mm of rain the weather source had yesterday."""
    place = garden(minutes=40, days="daily")
    weather(place.cell, rain={YESTERDAY: 12.0})
    return place


def season(place: Garden, *more: Garden) -> Loaded:
    ids = [place.site.pk, *(one.site.pk for one in more)]
    return load_season(ids, on=ON, timezone=TIMEZONE)


def test_a_day_said_dry_takes_its_credited_rain_out_of_the_account() -> None:
    """Watered every morning with 6.2 mm net, the lawn is full at dawn and ends the day 5.64 mm short.

    Yesterday's watering is left out, so yesterday began 5.64 mm short. 0.8 x 12 = 9.6 mm of rain fill it up
    and it ends 6 x 0.94 = 5.64 mm short; without the rain 11.28 mm.
    """
    place = lawn()
    place.program.skips.create(effective_from=TWO_AGO, effective_to=TWO_AGO, reason="By hand.")
    wet = float(season(place).balance.depletion_mm[0])
    assert wet == pytest.approx(5.64)
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY)
    assert float(season(place).balance.depletion_mm[0]) == pytest.approx(11.28)


@pytest.mark.parametrize(("gauge_mm", "source_mm"), [(5.0, 2.0), (2.0, 5.0), (3.5, 0.0)])
def test_the_balance_differs_exactly_by_the_credited_rain(gauge_mm: float, source_mm: float) -> None:
    """Two mornings without water before: no rain drains, and no ET is held back.

    D moves by 0.8 of the difference in rain, whatever the source's forecasts have earned.
    """
    place = garden(minutes=40, days="daily")
    weather(place.cell, rain={YESTERDAY: source_mm})
    place.program.skips.create(effective_from=ON - 3 * DAY, effective_to=TWO_AGO, reason="By hand.")
    before = float(season(place).balance.depletion_mm[0])
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY, gauge_mm=gauge_mm)
    after = season(place)
    moved = float(after.balance.depletion_mm[0]) - before
    assert moved == pytest.approx(-0.8 * (gauge_mm - source_mm), abs=1e-9)
    assert before + moved < float(after.field.survey.raw_mm[0])


def test_a_gauge_counts_in_full_where_the_source_only_had_a_forecast() -> None:
    """Yesterday hasn't come in; its forecast of 10 mm counts 0.8 x 0.7 x 10 = 5.6, a gauge of 10 mm 8.0."""
    place = garden(minutes=40, days="daily")
    weather(place.cell)
    ObservedDay.objects.filter(cell=place.cell, date=YESTERDAY).delete()
    ForecastDay.objects.create(
        cell=place.cell,
        date=YESTERDAY,
        issued_at=f"{YESTERDAY}T11:00:00Z",
        rain_mm=10.0,
        reference_et_mm=6.0,
        t_min_c=14.0,
        t_max_c=30.0,
        quality="forecast",
    )
    field = season(place).field
    assert field.rain_effective[field.today - 1, field.column_of(place.site)] == pytest.approx(5.6)
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY, gauge_mm=10.0)
    field = season(place).field
    assert field.rain_effective[field.today - 1, field.column_of(place.site)] == pytest.approx(8.0)


def test_the_neighbour_under_the_same_sky_keeps_its_rain() -> None:
    place = lawn()
    other = Site.objects.create(
        client=place.client, name="Next door", latitude=39.2, longitude=-121.1, elevation_m=310,
        timezone=TIMEZONE, cell=place.cell, balance_from=place.site.balance_from,
    )  # fmt: skip
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY)
    field = load_season([place.site.pk, other.pk], on=ON, timezone=TIMEZONE).field
    row = field.today - 1
    assert field.rain_effective[row, field.column_of(place.site)] == 0.0
    assert field.rain_effective[row, field.column_of(other)] == pytest.approx(9.6)
    own, cell = field.column_of(place.site), field.column_of(other)
    for name in ("reference_et_mm", "t_min_c"):
        values = getattr(field.weather, name)
        assert np.array_equal(values[:, own], values[:, cell], equal_nan=True)
    assert field.weather.rain_credit[own] == field.weather.rain_credit[cell]


def test_the_night_shows_what_was_seen_in_what_it_decided_from() -> None:
    place = garden(minutes=90, percent=170)
    weather(place.cell, rain={YESTERDAY: 12.0, TWO_AGO: 3.0})
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY)
    note_rain(site=place.site, by=place.owner, on=ON, day=TWO_AGO, gauge_mm=1.5)
    run_night(on=ON, timezone=TIMEZONE)
    inputs = Change.objects.filter(kind="percent").latest("id").inputs
    assert inputs["weather"]["rain_on_site"] == [
        {"date": TWO_AGO.isoformat(), "rain_mm": 1.5, "source_mm": 3.0, "how": "gauge"},
        {"date": YESTERDAY.isoformat(), "rain_mm": 0.0, "source_mm": 12.0, "how": "said_dry"},
    ]


def test_the_savings_count_the_rain_that_was_seen() -> None:
    """At 10 % the lawn lives on rain: without yesterday's 12 mm it goes short of more.

    Adequacy is need less shortage over need; a drier account can't be better.
    """
    place = garden(minutes=40, days="daily", percent=10)
    weather(place.cell, rain={ON - n * DAY: 12.0 for n in range(1, 8)})
    first = ON - 7 * DAY
    wet = client_savings(place.client, first=first, last=YESTERDAY, on=ON)
    for n in range(1, 8):
        note_rain(site=place.site, by=place.owner, on=ON, day=ON - n * DAY)
    dry = client_savings(place.client, first=first, last=YESTERDAY, on=ON)
    assert wet.adequacy is not None and dry.adequacy is not None
    assert dry.adequacy < wet.adequacy - 0.1
    assert dry.applied_l == pytest.approx(wet.applied_l)


def test_a_rain_sensor_does_not_hold_back_for_rain_that_was_not_there() -> None:
    """The sensor sits on the site: 12 mm by the source but none there, and the night was watered."""
    place = garden(minutes=40, days="daily", controller={"rain_sensor": True})
    weather(place.cell, rain={YESTERDAY: 12.0})
    field = season(place).field
    assert field.starts[field.today, 0] == 0
    note_rain(site=place.site, by=place.owner, on=ON, day=YESTERDAY)
    field = season(place).field
    assert field.starts[field.today, 0] == 1


def test_many_sites_with_rain_of_their_own_cost_no_query_more() -> None:
    places = [garden(f"Garden{n}", place=(36.0 + 0.06 * n, -121.0, 100.0)) for n in range(4)]
    for one in places:
        weather(one.cell, rain={YESTERDAY: 5.0})
    ids = [one.site.pk for one in places]

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            load_season(ids, on=ON, timezone=TIMEZONE)
        return len(seen)

    few = queries()
    for one in places:
        note_rain(site=one.site, by=one.owner, on=ON, day=YESTERDAY, gauge_mm=2.0)
    assert SiteRain.objects.count() == 4
    assert queries() == few
