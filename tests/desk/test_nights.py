from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from desk.dates import place_time
from fleet.models import User
from scheduling.models import NightlyRunCompany
from tests.cast import TODAY, Cast, a_run


def told(cast: Cast, **fields) -> None:
    NightlyRunCompany.objects.filter(company=cast.company).update(**fields)


def test_the_log_lists_the_nights_latest_first(cast: Cast, owner: Client):
    older = a_run(cast.company, TODAY - timedelta(days=1), words=["Quiet."])
    text = owner.get("/nights/").content.decode()
    assert text.index(f"/nights/{cast.run.pk}/") < text.index(f"/nights/{older.pk}/")
    assert "Quiet." in text


def test_a_company_sees_its_own_counts_and_words_alone(cast: Cast, owner: Client, stranger: User, signed_in):
    other = stranger.memberships.get().company
    NightlyRunCompany.objects.create(
        run=cast.run, company=other, counts={"proposed": 77}, words=["Theirs."], failures=[]
    )
    told(cast, words=["Ours."], counts={"proposed": 1})
    ours = owner.get(f"/nights/{cast.run.pk}/").content.decode()
    theirs = signed_in(stranger).get(f"/nights/{cast.run.pk}/").content.decode()
    assert "Ours." in ours
    assert "Theirs." not in ours
    assert "77" not in ours
    assert "99" not in ours  # the run's own sum over everybody
    assert "Theirs." in theirs
    assert "Ours." not in theirs


def test_what_went_wrong_names_the_place_and_leads_there(cast: Cast, owner: Client):
    failures = [
        {"scope": "program", "id": cast.program.pk, "code": "incomplete", "message": "zone 4 lacks soil"},
        {"scope": "zone", "id": cast.zone.pk, "code": "odd", "message": "rate is not a number"},
        {"scope": "site", "id": cast.site.pk, "code": "not_computed", "message": "could not be computed"},
        {"scope": "source", "id": 0, "code": "timeout", "message": "the source did not answer"},
    ]
    told(cast, failures=failures)
    text = owner.get(f"/nights/{cast.run.pk}/").content.decode()
    for failure in failures:
        assert failure["message"] in text
    assert text.count(f'href="/sites/{cast.site.pk}/"') == 3


def test_a_failure_at_somebody_elses_site_is_not_named(cast: Cast, owner: Client, stranger: User, signed_in):
    other = stranger.memberships.get().company
    failure = {"scope": "site", "id": cast.site.pk, "code": "x", "message": "m"}
    NightlyRunCompany.objects.create(run=cast.run, company=other, failures=[failure])
    assert cast.site.name not in signed_in(stranger).get(f"/nights/{cast.run.pk}/").content.decode()


def test_a_night_that_broke_off_says_so(cast: Cast, owner: Client):
    cast.run.state = "aborted"
    cast.run.save()
    assert "broken off" in owner.get(f"/nights/{cast.run.pk}/").content.decode()


def test_before_the_first_night_the_log_says_what_will_come(cast: Cast, owner: Client):
    NightlyRunCompany.objects.all().delete()
    assert "No night has run yet." in owner.get("/nights/").content.decode()
    assert "No night has run yet." in owner.get("/").content.decode()


def test_the_log_takes_as_many_queries_for_many_nights_as_for_few(cast: Cast, owner: Client):
    with CaptureQueriesContext(connection) as few:
        owner.get("/nights/")
    for n in range(1, 40):
        a_run(cast.company, TODAY - timedelta(days=n))
    with CaptureQueriesContext(connection) as many:
        owner.get("/nights/")
    assert len(many) == len(few)


def test_older_nights_are_a_page_away(cast: Cast, owner: Client):
    for n in range(1, 70):
        a_run(cast.company, TODAY - timedelta(days=n))
    assert "Earlier nights" in owner.get("/nights/").content.decode()
    assert "Later nights" in owner.get("/nights/?page=2").content.decode()


def test_place_and_failure_stand_in_words(cast: Cast, owner: Client):
    failure = {"scope": "site", "id": cast.site.pk, "code": "not_computed", "message": "It failed."}
    told(cast, failures=[failure])
    for address in ("/nights/", f"/nights/{cast.run.pk}/", f"/sites/{cast.site.pk}/history/"):
        text = owner.get(address).content.decode()
        assert "Los Angeles time" in text
        assert "America/" not in text
        assert "not_computed" not in text


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("America/Los_Angeles", "Los Angeles time"),
        ("America/Argentina/Buenos_Aires", "Buenos Aires time"),
        ("UTC", "UTC"),
    ],
)
def test_a_time_zone_is_told_by_its_place(zone: str, words: str):
    assert place_time(zone) == words
