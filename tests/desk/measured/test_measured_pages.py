"""Pages of measured savings: a baseline fitted, shown with how good it is, and what no weather explains."""

import json
from datetime import date
from typing import Any

import pytest
from django.test import Client
from rest_framework.test import APIClient

from desk import figures
from fleet.models import Meter
from reports.models import MeterBaseline, NonRoutineChange
from tests.cast import Cast, person
from tests.night.garden import ON
from tests.reports.measured.metered_garden import BASELINE, Metered, metered

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
PERIOD = {"first": BASELINE[0].isoformat(), "last": BASELINE[1].isoformat(), "was": ""}
LEAK = {"kind": "leak", "first": "2025-07-10", "last": "2025-07-19", "litres_day": "500", "reason": "Gate."}


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def water(litres: float) -> str:
    return figures.water(litres).replace("\u00a0", " ")


@pytest.fixture
def place(settings: Any) -> Metered:
    settings.AS_OF = ON
    return metered()


@pytest.fixture
def browser(place: Metered, signed_in: Any) -> Client:
    return signed_in(place.garden.owner)


def test_a_baseline_is_fitted_shown_and_measured_against(place: Metered, browser: Client) -> None:
    page = f"/meters/{place.meter.pk}/measured/"
    assert "It takes twelve months" in text(browser.get(page))
    site = text(browser.get(f"/sites/{place.garden.site.pk}/measured/"))
    assert "none yet" in site and "nothing yet" in site
    shown = text(browser.post(page, PERIOD, follow=True))
    assert "the baseline rests on 24 bills" in shown
    assert "Detected: " in shown and "give or take" in shown
    assert "(CV(RMSE))" in shown and "(R²)" in shown and "what plants lacked beyond rain" in shown
    chart = browser.get(page).context["chart"]
    rows = next(rows for rows in chart["datasets"].values() if len(rows) == 36)
    assert [row["counts"] for row in rows] == [False] * 24 + [True] * 12
    assert "36 bills behind it" in shown
    site = text(browser.get(f"/sites/{place.garden.site.pk}/measured/"))
    assert "saved, measured" in site and "never added together" in site


def test_too_few_months_are_told_at_the_field_and_what_was_typed_stays(
    place: Metered, browser: Client
) -> None:
    page = f"/meters/{place.meter.pk}/measured/"
    answer = browser.post(page, PERIOD | {"first": "2025-01-01"})
    assert answer.status_code == 422
    assert "twelve months" in answer.context["period"].errors["first"]
    assert 'value="2025-01-01"' in text(answer)
    assert not MeterBaseline.objects.exists()


def test_what_no_weather_explains_is_logged_set_right_and_taken_off(place: Metered, browser: Client) -> None:
    page = f"/meters/{place.meter.pk}/measured/"
    browser.post(page, PERIOD)
    log = f"/meters/{place.meter.pk}/not-routine/"
    browser.post(log, LEAK)
    row = NonRoutineChange.objects.get()
    assert (row.litres_day, row.first, row.by) == (500.0, date(2025, 7, 10), place.garden.owner)
    assert f"of it what no weather explains</dt> <dd> {water(5_000.0)} </dd>" in text(browser.get(page))
    sheet = browser.get(f"/not-routine/{row.pk}/").context["sheet"]
    typed = json.loads(sheet.was) | {"was": sheet.was, "litres_day": "-200"}
    assert browser.post(f"/not-routine/{row.pk}/", typed).status_code == 302
    row.refresh_from_db()
    assert row.litres_day == -200.0
    assert browser.post(log, LEAK | {"litres_day": "0"}).status_code == 422
    assert browser.post(log, LEAK | {"last": "2025-07-01"}).status_code == 422
    browser.post(f"/not-routine/{row.pk}/remove/")
    assert not NonRoutineChange.objects.exists()
    assert NonRoutineChange.history.filter(history_type="-").count() == 1


def test_savings_over_rest_are_of_one_kind(place: Metered, browser: Client) -> None:
    browser.post(f"/meters/{place.meter.pk}/measured/", PERIOD)
    api = APIClient()
    api.force_authenticate(place.garden.owner)
    asked = {"from": "2025-07-01", "to": "2026-07-10"}
    address = f"/api/v1/clients/{place.garden.client.pk}/savings/"
    told = api.get(address, asked | {"kind": "measured"}).json()
    assert (told["kind"], told["baseline"], told["detected"]) == ("measured", "earlier bills", True)
    assert (told["from"], told["to"]) == ("2025-07-01", "2026-06-30")
    assert told["saved_l"] == pytest.approx(told["baseline_l"] - told["applied_l"])
    assert 0 < told["uncertainty_l"] <= told["saved_l"] / 2
    assert told["money"] == pytest.approx(1.5 * told["saved_l"] / 1000, abs=0.01)  # flat, 1.50 a m3
    assert told["money_counted"] == ["at the flat price of flat"]
    estimated = api.get(address, asked).json()
    assert set(estimated) == set(told)
    assert (estimated["kind"], estimated["uncertainty_l"]) == ("estimated", None)
    assert estimated["applied_l"] != told["applied_l"]
    assert api.get(address, {"kind": "guessed"}).status_code == 400
    nothing = api.get(address, {"from": "2025-01-01", "to": "2025-01-31", "kind": "measured"}).json()
    assert (nothing["saved_l"], nothing["detected"]) == (None, None)
    assert nothing["left_out"] and set(nothing) == set(told)


def test_a_technician_reads_and_does_not_fit(cast: Cast, technician: Client, signed_in: Any) -> None:
    meter = Meter.objects.create(site=cast.site, name="Main", unit="kgal")
    assert "Fit the baseline" not in text(technician.get(f"/meters/{meter.pk}/measured/"))
    assert technician.post(f"/meters/{meter.pk}/not-routine/", LEAK).status_code == 403
    assert signed_in(person("who@elsewhere.test")).get(f"/meters/{meter.pk}/measured/").status_code == 404
