import json
import re
from datetime import date, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import ClientAccess, Finding, User, Visit, WateringRule
from scheduling.models import Change, Skip
from tests.cast import PASSWORD, Cast, a_change, a_program, a_site
from tests.night.garden import ON, Garden, garden, weather
from tests.night.garden import zone as surveyed
from weather.models import ForecastDay, ObservedDay


@pytest.fixture
def heron(db: None, settings: Any) -> Garden:
    settings.AS_OF = ON
    made = garden(minutes=30.0, zones=2)
    weather(made.cell, rain={ON - timedelta(days=3): 6.0})
    return made


def page(web: Client, of: Garden) -> str:
    answer = web.get(f"/sites/{of.site.pk}/")
    assert answer.status_code == 200
    return re.sub(r"[ \n]+", " ", answer.content.decode())


def client_of(of: Garden, access_from: date | None) -> User:
    of.client.access_from = access_from
    of.client.save()
    user = User.objects.create_user("reader@heron.test", PASSWORD)
    ClientAccess.objects.create(user=user, client=of.client)
    return user


def test_every_zone_shows_its_soil_water_in_a_bar_and_in_words(heron: Garden, signed_in):
    text = page(signed_in(heron.owner), heron)
    assert text.count('<svg class="soil"') == 2
    assert "the limit is at" in text
    assert "Cool-season turf" in text


def test_a_zone_drier_than_plants_like_says_so(heron: Garden, signed_in):
    heron.zones[0].soil_observations.create(date=ON, depletion_share=0.9)
    text = page(signed_in(heron.owner), heron)
    assert "drier than plants like" in text


def test_the_survey_says_how_each_figure_is_known(heron: Garden, signed_in):
    zone = heron.zones[0]
    zone.basis |= {"uniformity": "measured", "soil": "assumed"}
    zone.save()
    text = page(signed_in(heron.owner), heron)
    assert '70\u00a0%<div class="basis measured">measured</div>' in text
    assert 'Loam<div class="basis assumed">assumed</div>' in text


def test_what_the_survey_lacks_is_named(heron: Garden, signed_in):
    surveyed(heron.controller, 3, soil="", area_m2=None)
    assert ": soil, area. The program gets no proposals until it is filled in." in page(
        signed_in(heron.owner), heron
    )


def test_programs_show_their_percent_and_the_nights_they_water(heron: Garden, signed_in):
    # Mon Wed Fri at 3:00 are the nights of Sunday, Tuesday and Thursday; 14 July 2026 is a Tuesday.
    text = page(signed_in(heron.owner), heron)
    row = text[text.index('class="ledger nightgrid"') :]
    assert "<td>100\u00a0%</td>" in row
    assert row.count(">waters</span>") == 3


def test_a_skipped_night_is_told_with_its_reason(heron: Garden, signed_in):
    Skip.objects.create(program=heron.program, effective_from=ON, effective_to=ON, reason="9 mm of rain.")
    text = page(signed_in(heron.owner), heron)
    assert "9 mm of rain." in text
    assert text.count(">waters</span>") == 2


def test_a_closed_site_waters_no_night(heron: Garden, signed_in):
    heron.site.season = "closed"
    heron.site.save()
    text = page(signed_in(heron.owner), heron)
    assert ">waters</span>" not in text
    assert "closed" in text


def test_a_night_that_does_not_fit_is_told(heron: Garden, signed_in):
    rule = WateringRule.objects.create(
        company=heron.company, name="short", hours_from=time(3), hours_to=time(3, 30)
    )
    heron.site.watering_rule = rule
    heron.site.save()
    assert "doesn't fit its night" in page(signed_in(heron.owner), heron).replace("&#x27;", "'")


def test_the_weather_is_drawn_told_and_tabled(heron: Garden, signed_in):
    text = page(signed_in(heron.owner), heron)
    found = re.search(r'<script id="chart-weather" type="application/json">(.*?)</script>', text)
    assert found
    assert "6.0\u00a0mm of rain so far" in json.loads(found[1])["description"]
    assert text.count("<td>observed</td>") == 30
    assert text.count("<td>forecast</td>") == 7


def test_invented_weather_is_labelled(heron: Garden, signed_in):
    ObservedDay.objects.update(source="invented")
    ForecastDay.objects.update(source="invented")
    assert "Invented weather: made up for trying things out" in page(signed_in(heron.owner), heron)


def test_a_source_that_asks_for_it_is_credited(heron: Garden, signed_in, settings: Any):
    settings.OPEN_METEO_ATTRIBUTION_URL = "https://weather.test/"
    ObservedDay.objects.update(source="open-meteo")
    ForecastDay.objects.update(source="open-meteo")
    assert f'<a href="https://weather.test/" rel="noreferrer">{settings.OPEN_METEO_ATTRIBUTION}</a>' in page(
        signed_in(heron.owner), heron
    )


def test_a_site_without_weather_says_that_soil_water_is_not_counted(cast: Cast, owner: Client):
    text = owner.get(f"/sites/{cast.site.pk}/").content.decode()
    assert "soil water isn&#x27;t counted" in text
    assert "No weather is known for this place yet." in text


def test_staff_see_changes_findings_and_visits(heron: Garden, signed_in):
    change = a_change(heron.program, reason="Cooler than the base month.", effective_from=ON)
    Finding.objects.create(zone=heron.zones[0], part="cracked riser", found_on=ON)
    Visit.objects.create(site=heron.site, date=ON + timedelta(days=1), kind="audit")
    text = page(signed_in(heron.owner), heron)
    assert f'href="/changes/{change.pk}/"' in text
    for words in ("Cooler than the base month.", "cracked riser", "audit"):
        assert words in text


class TestForTheClient:
    def test_a_client_reads_the_week_but_no_changes_and_no_money(self, heron: Garden, signed_in):
        a_change(heron.program, reason="Cooler than the base month.", effective_from=ON)
        Finding.objects.create(zone=heron.zones[0], part="cracked riser", found_on=ON)
        text = re.sub(r"<script.*?</script>", "", page(signed_in(client_of(heron, ON)), heron))
        assert text.count(">waters</span>") == 3
        assert text.count('<svg class="soil"') == 2
        for kept_back in ("Cooler", "cracked riser", "$", "/changes/", "/week/", "Survey", "Recent changes"):
            assert kept_back not in text, kept_back

    def test_several_sites_are_listed(self, heron: Garden, signed_in):
        heron.client.sites.create(
            name="Annex", latitude=39.2, longitude=-121.1, elevation_m=310, timezone=heron.site.timezone
        )
        text = signed_in(client_of(heron, ON)).get("/").content.decode()
        assert "Annex" in text
        assert "Looked after by Heron Irrigation" in text

    @pytest.mark.parametrize("access_from", [None, ON + timedelta(days=10)])
    def test_before_access_is_open_nothing_is_shown_but_a_kind_word(
        self, heron: Garden, signed_in, access_from
    ):
        web = signed_in(client_of(heron, access_from))
        answer = web.get("/")
        assert answer.status_code == 200
        assert "Nothing is open to you yet" in answer.content.decode()
        assert heron.site.name not in answer.content.decode()
        assert web.get(f"/sites/{heron.site.pk}/").status_code == 404

    def test_somebody_without_any_tie_is_told_whom_to_ask(self, db: None, signed_in):
        nobody = User.objects.create_user("nobody@nowhere.test", PASSWORD)
        assert "belongs to no company and no client yet" in signed_in(nobody).get("/").content.decode()


def test_the_list_of_sites_shows_what_waits_at_each(cast: Cast, owner: Client):
    a_change(a_program(cast.controller, "B"))
    text = re.sub(r"[ \n]+", " ", owner.get("/sites/").content.decode())
    assert '>2<span class="unseen"> to decide</span>' in text
    assert "Show all" in owner.get("/sites/?words=nowhere").content.decode()
    assert Change.objects.filter(status="pending").count() == 2


def test_the_page_takes_as_many_queries_for_many_zones_as_for_few(heron: Garden, signed_in):
    web = signed_in(heron.owner)
    a_change(heron.program, effective_from=ON)
    page(web, heron)
    with CaptureQueriesContext(connection) as few:
        page(web, heron)
    for number in range(3, 12):
        zone = surveyed(heron.controller, number)
        program = a_program(heron.controller, f"Z{number % 10}", effective=ON - timedelta(days=60))
        program.runs.create(zone=zone, minutes=5)
        a_change(program, effective_from=ON)
    with CaptureQueriesContext(connection) as many:
        page(web, heron)
    assert len(many) == len(few)


def test_the_list_of_sites_takes_as_many_queries_for_many_sites_as_for_few(cast: Cast, owner: Client):
    with CaptureQueriesContext(connection) as few:
        owner.get("/sites/")
    for n in range(12):
        a_site(cast.client, f"Lot {n}")
    with CaptureQueriesContext(connection) as many:
        owner.get("/sites/")
    assert len(many) == len(few)
