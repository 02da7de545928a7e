"""The clients list and a client's page: figures of the one selector, fixed queries, nobody else's."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from desk import figures
from fleet.models import Client as Client_
from fleet.models import ClientAccess, Site, User, Visit
from reports.selectors.savings import client_savings_by_month, site_savings
from reports.services.recompute import recompute
from scheduling.models import Setting
from scheduling.selectors.site_state import site_state
from tests.cast import Cast
from tests.night.garden import ON, Garden, garden, weather

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]


@pytest.fixture
def heron(settings: Any) -> Garden:
    """A lawn taken over in May, at 60 percent for the last ten nights."""
    settings.AS_OF = ON
    place = garden("Heron", minutes=40, days="daily", units="us")
    weather(place.cell, et_mm=4.0)
    Setting.objects.create(program=place.program, percent=60, effective_from=ON - timedelta(days=10))
    Visit.objects.create(site=place.site, date=ON + timedelta(days=2))
    recompute(on=ON)
    return place


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def test_the_list_shows_what_the_selector_says(heron: Garden, signed_in: SignedIn) -> None:
    _, whole = client_savings_by_month(heron.client, on=ON)
    assert whole is not None and whole.found.saved_l
    page = text(signed_in(heron.owner).get("/clients/"))
    assert "Heron School" in page
    assert figures.water(whole.found.saved_l, "us").replace("\u00a0", " ") in page
    assert "next visit </span>Thu Jul 16" in page


def test_the_client_page_shows_both_baselines_and_its_months(heron: Garden, signed_in: SignedIn) -> None:
    months, whole = client_savings_by_month(heron.client, on=ON)
    assert whole is not None
    page = text(signed_in(heron.owner).get(f"/clients/{heron.client.pk}/"))
    for month in months:
        assert f"{month.first:%B %Y}" in page
        assert figures.exact_water(month.applied_l, "us").replace("\u00a0", " ") in page
    assert figures.water(whole.found.saved_l, "us").replace("\u00a0", " ") in page
    assert "settings found when the contractor took over" in page
    assert "Access is not open" in page


def test_a_client_reads_the_savings_of_their_own_site(heron: Garden, signed_in: SignedIn) -> None:
    person = User.objects.create_user("reader@heron.test", "three herons at dawn")
    ClientAccess.objects.create(user=person, client=heron.client)
    Client_.objects.filter(pk=heron.client.pk).update(access_from=ON)
    site = Site.objects.get(pk=heron.site.pk)
    season = site_state(site, on=ON).season or pytest.fail("no weather")
    month, whole = site_savings(site, season, on=ON) or pytest.fail("nothing was counted")
    page = text(signed_in(person).get(f"/sites/{heron.site.pk}/"))
    for saved in (month.found.saved_l, whole.found.saved_l):
        assert saved and figures.water(saved, "us").replace("\u00a0", " ") in page
    assert "Recent changes" not in page


@pytest.mark.parametrize("sort", ["name", "saved", "used", "need", "open", "made-up"])
def test_every_sort_and_search_answers(heron: Garden, signed_in: SignedIn, sort: str) -> None:
    browser = signed_in(heron.owner)
    assert "Heron School" in text(browser.get("/clients/", {"sort": sort, "words": "heron"}))
    assert "No client or site is called" in text(browser.get("/clients/", {"words": "x" * 5000 + "\0"}))


def test_a_company_without_clients_is_told_so(db: None, cast: Cast, signed_in: SignedIn) -> None:
    cast.client.delete()
    assert "No client has been set up yet." in text(signed_in(cast.owner).get("/clients/"))


def test_a_client_without_weather_is_told_so(cast: Cast, signed_in: SignedIn) -> None:
    assert "Nothing can be counted yet" in text(signed_in(cast.owner).get(f"/clients/{cast.client.pk}/"))


def test_whoever_it_is_not_for_gets_404(heron: Garden, cast: Cast, signed_in: SignedIn) -> None:
    for who in (cast.owner, cast.client_person):
        assert signed_in(who).get(f"/clients/{heron.client.pk}/").status_code == 404
    assert signed_in(cast.client_person).get("/clients/").status_code == 404
    assert "Heron School" not in text(signed_in(cast.owner).get("/clients/"))
