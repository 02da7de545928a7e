"""A site whose reference ET is corrected: by exactly that factor in every reckoning, and nowhere else."""

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Site, SiteCorrection, ZoneTrim
from fleet.services.site_corrections import correct_site
from reports.selectors.savings import client_savings
from scheduling.models import Change
from scheduling.numerics.replay.foresight import Errors
from scheduling.selectors.advice.look import look_at
from scheduling.selectors.plan.of_controller import plan_of
from scheduling.selectors.season_load import Loaded, load_season
from scheduling.selectors.site_state import site_state
from scheduling.selectors.year_card import year_card
from scheduling.services.nightly import run_night
from scheduling.services.replay_site import season_of_site
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather, zone
from weather.models import MonthlyNormal, WeatherCell

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]
DAY = timedelta(days=1)
LONG_AGO = ON - 70 * DAY


@pytest.fixture(autouse=True)
def invented(settings: Any) -> None:
    settings.WEATHER_SOURCE = "invented"


def corrected(place: Garden, factor: float = 1.1, *, since: date = LONG_AGO) -> SiteCorrection:
    return correct_site(
        site=place.site, by=place.owner, factor=factor, reason="Windy ridge.", effective_from=since
    )


def usual(cell: WeatherCell) -> None:
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=cell, month=month, reference_et_mm=4.0 if month == 7 else 2.0, days_used=60)
        for month in range(1, 13)
    )


def season(place: Garden) -> Loaded:
    return load_season([place.site.pk], on=ON, timezone=TIMEZONE)


def decided(place: Garden) -> dict[str, Any]:
    Change.objects.all().delete()
    run_night(on=ON, timezone=TIMEZONE)
    inputs: dict[str, Any] = Change.objects.filter(program=place.program, kind="percent").latest("id").inputs
    return inputs


def test_a_night_stores_a_need_that_differs_by_exactly_the_factor() -> None:
    """The weather of the place stays as it was told; what the zones lose of it is 1.1 times as much."""
    place = garden(minutes=40, days="daily")
    weather(place.cell)
    before = decided(place)
    corrected(place, since=ON)
    after = decided(place)
    assert after["days"] == before["days"]
    assert before["weather"]["site_correction"] is None
    assert after["weather"]["site_correction"] == {
        "factor": 1.1,
        "reason": "Windy ridge.",
        "effective_from": ON.isoformat(),
    }
    (was,), (now,) = before["units"], after["units"]
    assert now["et_mm"] == pytest.approx([1.1 * et for et in was["et_mm"]])
    assert now["et_mm"][0] == pytest.approx(after["days"][0]["et0_mm"] * 0.94 * 1.1)
    assert (now["trim"], now["kl"], now["start_mm"]) == (1.0, was["kl"], was["start_mm"])
    assert after["proposed"] > before["proposed"]


def test_a_zones_own_trim_is_told_apart_from_its_sites_correction() -> None:
    place = garden(minutes=25)
    weather(place.cell)
    ZoneTrim.objects.create(zone=place.zones[0], factor=0.9, reason="Shade", effective_from=LONG_AGO)
    corrected(place, 1.3)
    inputs = decided(place)
    (unit,) = inputs["units"]
    assert unit["trim"] == 0.9
    assert unit["et_mm"][0] == pytest.approx(inputs["days"][0]["et0_mm"] * 0.94 * 0.9 * 1.3)


def test_the_account_counts_it_from_its_day_on() -> None:
    """Seven days without water from full, the last two of them at 1.1: 5.64 x 5 + 5.64 x 1.1 x 2 mm."""
    place = garden(minutes=40, since=ON - 7 * DAY)
    weather(place.cell)
    place.program.skips.create(effective_from=ON - 9 * DAY, effective_to=ON, reason="By hand.")
    assert float(season(place).balance.wet_mm[0]) == pytest.approx(_dry_days(7 * [5.64]))
    corrected(place, since=ON - 2 * DAY)
    assert float(season(place).balance.wet_mm[0]) == pytest.approx(_dry_days(5 * [5.64] + 2 * [6.204]))
    corrected(place, 1.0, since=ON - DAY)
    assert float(season(place).balance.wet_mm[0]) == pytest.approx(_dry_days(5 * [5.64] + [6.204, 5.64]))


def _dry_days(losses: list[float]) -> float:
    """FAO-56 eqs. 84 and 85 for loam 300 mm deep, MAD 0.5: TAW 51, RAW 25.5 mm."""
    depletion = 0.0
    for loss in losses:
        depletion += loss * min(1.0, (51.0 - depletion) / 25.5)
    return depletion


def test_a_neighbour_under_the_same_sky_is_left_alone() -> None:
    place = garden()
    weather(place.cell)
    other = Site.objects.create(
        client=place.client, name="Next door", latitude=39.2, longitude=-121.1, elevation_m=310,
        timezone=TIMEZONE, cell=place.cell, balance_from=place.site.balance_from,
    )  # fmt: skip
    box = other.controllers.create(name="Wall")
    zone(box)
    corrected(place)
    field = load_season([place.site.pk, other.pk], on=ON, timezone=TIMEZONE).field
    assert sorted(field.trim_today.tolist()) == [1.0, 1.1]
    assert list(field.corrections_today) == [place.site.pk]


def test_the_savings_count_with_the_corrected_need() -> None:
    """At 40 % the lawn goes short; where it needs less, less of that was withheld."""
    place = garden(minutes=40, days="daily", percent=40)
    weather(place.cell)
    first = ON - 7 * DAY
    plain = client_savings(place.client, first=first, last=ON - DAY, on=ON)
    corrected(place, 0.8)
    sheltered = client_savings(place.client, first=first, last=ON - DAY, on=ON)
    assert plain.adequacy is not None and sheltered.adequacy is not None
    assert sheltered.adequacy > plain.adequacy + 0.1
    assert sheltered.applied_l == pytest.approx(plain.applied_l)


def test_a_plan_the_years_card_advice_and_a_replay_count_with_it_too() -> None:
    place = garden(minutes=40)
    weather(place.cell)
    usual(place.cell)

    def read() -> dict[str, Any]:
        look = look_at(place.site, on=ON)
        assert look is not None
        planned = plan_of(place.controller, night=ON)
        relived = season_of_site(
            place.site, first=ON - 20 * DAY, last=ON - DAY, on=ON, errors=Errors(), seed=1
        )
        return {
            "plan": planned.plan.zones[0].need_mm_day,
            "peak": look.peak_mm_day(np.array([0]))[0],
            "week": look.need_mm_week(np.array([0]))[0],
            "replay": relived.season.landscape.ground.kl[6, 0],
        }

    before, digest = read(), plan_of(place.controller, night=ON).digest
    july = year_card(place.controller, on=ON).groups[0].months[6].percent
    corrected(place, 1.25)
    after = read()
    assert after == {name: pytest.approx(1.25 * value) for name, value in before.items()}
    planned = plan_of(place.controller, night=ON)
    assert planned.digest != digest
    assert planned.correction is not None and planned.correction.factor == 1.25
    assert year_card(place.controller, on=ON).groups[0].months[6].percent > july


def test_what_is_still_to_come_counts_from_its_day_only() -> None:
    place = garden()
    weather(place.cell)
    corrected(place, since=ON + DAY)
    assert site_state(place.site, on=ON).correction is None
    assert season(place).field.trim_today.tolist() == [1.0]


def test_many_corrected_sites_cost_no_query_more() -> None:
    places = [garden(f"Garden{n}", place=(36.0 + 0.06 * n, -121.0, 100.0)) for n in range(4)]
    for one in places:
        weather(one.cell)
    ids = [one.site.pk for one in places]

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            load_season(ids, on=ON, timezone=TIMEZONE)
        return len(seen)

    few = queries()
    for one in places:
        corrected(one)
    assert queries() == few
