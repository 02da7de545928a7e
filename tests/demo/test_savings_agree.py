"""Every client of the demo: page, days, list and interface show the same savings, to the digit."""

from datetime import date
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from rest_framework.test import APIClient

from desk import figures
from fleet.models import Client, User
from reports.services.recompute import recompute
from scheduling.demo.loading import Loaded
from scheduling.services.nightly import run_night
from tests.night.garden import ON, TIMEZONE

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # long, and as good on one database
FIRST, LAST = date(2026, 7, 1), date(2026, 7, 13)


@pytest.fixture
def owner(demo: Loaded, settings: Any) -> User:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    settings.INVENTED_WEATHER_SEED = 1380
    cache.clear()
    run_night(on=ON, timezone=TIMEZONE)
    recompute(on=ON)
    return User.objects.get(email="owner@bluestem.example")


@pytest.fixture
def web(owner: User) -> Browser:
    browser = Browser()
    browser.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return browser


@pytest.fixture
def api(owner: User) -> APIClient:
    caller = APIClient()
    caller.force_authenticate(owner)
    return caller


def test_every_client(web: Browser, api: APIClient):
    listed = _listed(web)
    compared = 0
    for client in Client.objects.all():
        page = web.get(f"/clients/{client.pk}/")
        running = page.context["running"]
        told = api.get(f"/api/v1/clients/{client.pk}/savings/").json()
        asked = api.get(f"/api/v1/clients/{client.pk}/savings/?from={FIRST}&to={LAST}").json()
        assert {**told, "to": ""} == {**asked, "to": ""}, client  # today counts nothing yet
        if running is None:
            assert told["applied_l"] == 0, client
            continue
        compared += 1
        _same(told, running)
        monthly = api.get(f"/api/v1/clients/{client.pk}/savings/?baseline=monthly").json()
        assert (monthly["saved_l"], monthly["baseline_l"]) == (
            running.monthly.saved_l,
            running.monthly.baseline_l,
        )
        units = client.company.units
        assert figures.water(told["saved_l"], units) in page.content.decode(), client
        days = web.get(f"/clients/{client.pk}/savings/2026-07/").context["days"]
        _same(told, days.total)
        assert sum(day.applied_l for day in days.days) == pytest.approx(told["applied_l"], rel=1e-12)
        month = listed[client.pk]
        assert (month.saved_l, month.applied_l) == pytest.approx(
            (told["saved_l"], told["applied_l"]), rel=1e-12
        )
    assert compared >= 15


def _same(told: dict[str, Any], shown: Any) -> None:
    money = shown.found.money
    assert told["applied_l"] == shown.applied_l
    assert told["baseline_l"] == shown.found.baseline_l
    assert told["saved_l"] == shown.found.saved_l
    assert told["withheld_l"] == shown.found.withheld_l
    assert told["money"] == (None if money is None else float(money))
    assert told["adequacy"] == shown.adequacy
    assert told["currency"] == shown.currency


def _listed(web: Browser) -> dict[int, Any]:
    rows = web.get("/clients/").context["rows"]
    return {row.client.pk: row.month for row in rows}
