"""A site's past season on its page: the same figures as the replay's, for those who work there alone."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.urls import reverse

from desk import figures
from scheduling.models import ZoneRun
from scheduling.numerics.replay.foresight import Errors
from scheduling.numerics.replay.rules import NIGHTLY
from scheduling.selectors.replay.living import replayed
from scheduling.services.replay_site import season_of_site
from tests.desk.conftest import SignedIn
from tests.night.garden import ON, Garden, garden, weather

pytestmark = pytest.mark.django_db
FIRST, LAST = ON - timedelta(days=50), ON - timedelta(days=1)


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    made = garden(minutes=40.0, zones=2, units="us")
    weather(made.cell)
    return made


@pytest.fixture
def owner(heron: Garden, signed_in: SignedIn) -> Browser:
    return signed_in(heron.owner)


def page(browser: Browser, heron: Garden, **words: str):
    return browser.get(reverse("desk:season-again", args=[heron.site.pk]), words)


def text(answer) -> str:
    return " ".join(answer.content.decode().split())


def test_it_shows_what_the_replay_finds(owner, heron):
    answer = page(owner, heron, **{"from": str(FIRST), "to": str(LAST), "word": "nightly"})
    assert answer.status_code == 200
    laid = season_of_site(heron.site, first=FIRST, last=LAST, on=ON, errors=Errors(), seed=1)
    found = replayed(laid.season, rules=NIGHTLY, forecasts=laid.forecasts, first_percent=laid.first_percent)
    litres = float((found.season.landscape.ground.area_m2 * found.decided.score.gross_mm).sum())
    assert figures.water(litres, "us").replace("\u00a0", " ") in text(answer).replace("\u00a0", " ")
    assert "If something was taken wrong" in text(answer)
    assert "Programs, surveys and limits are those of today" in text(answer)


def test_without_dates_it_shows_the_newest_half_year_there_is(owner, heron):
    answer = page(owner, heron)
    assert answer.status_code == 200
    assert answer.context["last"] == LAST
    assert answer.context["chosen"] == "nightly"


def test_a_second_look_is_remembered(owner, heron, django_assert_max_num_queries):
    page(owner, heron)
    with django_assert_max_num_queries(14):
        page(owner, heron)
    kept = [len(value) for key, value in cache._cache.items() if "season-again" in key]
    assert len(kept) == 1
    assert kept[0] < 20_000, "what the page says, not every day of every zone"


def test_a_program_that_was_changed_is_lived_through_as_it_is_now(owner, heron):
    before = page(owner, heron).context["ways"][1].given_l  # left at 100 %
    run = ZoneRun.objects.filter(program__controller__site=heron.site).first()
    run.minutes *= 2
    run.save()
    assert page(owner, heron).context["ways"][1].given_l > 1.2 * before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"from": "soon"}, "soon"),
        ({"from": str(LAST), "to": str(FIRST)}, "The first day lies after the last."),
        ({"from": "2020-01-01", "to": str(LAST)}, "366 days at the most"),
        ({"from": str(ON - timedelta(days=300)), "to": str(LAST)}, "Weather was observed here from"),
        ({"from": str(FIRST), "to": str(ON)}, "Weather was observed here until"),
        ({"from": str(LAST), "to": str(LAST)}, "7 days at the least"),
    ],
)
def test_days_that_cannot_be_are_said_by_the_field_and_kept(owner, heron, words, told):
    answer = page(owner, heron, **words)
    assert answer.status_code == 422
    if told != "soon":
        assert told in text(answer)
    assert f'value="{words["from"]}"' in text(answer)


def test_a_word_nobody_knows_is_the_usual_one(owner, heron):
    assert page(owner, heron, word="pigeon").context["chosen"] == "nightly"


def test_without_weather_it_says_so(owner, heron):
    heron.cell.observed_days.all().delete()
    assert "No weather has been observed here yet" in text(page(owner, heron))


def test_a_site_without_a_program_says_so(owner, heron):
    heron.controller.programs.all().delete()
    answer = page(owner, heron)
    assert answer.status_code == 422
    assert "No program of this site" in text(answer)


def test_it_does_not_exist_for_others(heron, signed_in, stranger):
    assert page(signed_in(stranger), heron).status_code == 404
