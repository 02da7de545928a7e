"""Nightly runs over REST: own counts and failures only."""

from datetime import date

import pytest

from fleet.models import Membership
from tests.cast import Cast, a_cast, a_run

pytestmark = pytest.mark.django_db
URL = "/api/v1/nightly-runs/"
FAILURE = {"scope": "site", "id": 3, "code": "no_weather", "message": "No weather for four days."}


def test_a_run_shows_the_own_part_and_not_the_whole(api, cast: Cast):
    api.force_authenticate(cast.technician)
    page = api.get(URL).json()
    assert set(page) == {"next", "previous", "results"}
    expected = {
        "id": cast.run.pk,
        "date": "2026-07-06",
        "timezone": "America/Los_Angeles",
        "started_at": "2026-07-06T11:00:00Z",
        "finished_at": "2026-07-06T11:00:00Z",
        "counts": {"proposed": 1, "failed": 0},
        "failures": [],
    }
    assert page["results"] == [expected]
    assert api.get(f"{URL}{cast.run.pk}/").json() == expected


def test_two_companies_in_one_run_see_their_own_failures(api, cast: Cast):
    other = a_cast("Quillback Gardens", "quillback.test")
    other.run.companies.filter(company=other.company).update(counts={"failed": 1}, failures=[FAILURE])
    assert other.run == cast.run
    api.force_authenticate(other.owner)
    assert api.get(f"{URL}{cast.run.pk}/").json()["failures"] == [FAILURE]
    api.force_authenticate(cast.owner)
    assert api.get(f"{URL}{cast.run.pk}/").json()["failures"] == []


def test_who_works_for_two_companies_sees_a_run_once_with_both_parts(api, cast: Cast):
    other = a_cast("Quillback Gardens", "quillback.test")
    other.run.companies.filter(company=other.company).update(failures=[FAILURE])
    Membership.objects.create(user=cast.owner, company=other.company, role="office")
    api.force_authenticate(cast.owner)
    (row,) = api.get(URL).json()["results"]
    assert row["counts"] == {"proposed": 2, "failed": 0}
    assert row["failures"] == [FAILURE]


def test_strangers_and_clients_see_no_runs(api, cast: Cast, stranger):
    for person in (stranger, cast.client_person):
        api.force_authenticate(person)
        assert api.get(URL).json()["results"] == []
        assert api.get(f"{URL}{cast.run.pk}/").status_code == 404


def test_runs_are_filtered_by_date_and_newest_first(api, cast: Cast):
    later = a_run(cast.company, date(2026, 7, 7))
    api.force_authenticate(cast.owner)
    assert [row["id"] for row in api.get(URL).json()["results"]] == [later.pk, cast.run.pk]
    assert [row["id"] for row in api.get(f"{URL}?date=2026-07-07").json()["results"]] == [later.pk]
    assert api.get(f"{URL}?date=yesterday").status_code == 400


def test_a_list_takes_as_many_queries_for_thirty_nights_as_for_one(
    api, cast: Cast, django_assert_num_queries
):
    for day in range(1, 31):
        a_run(cast.company, date(2026, 6, day))
    api.force_authenticate(cast.owner)
    with django_assert_num_queries(3):  # the person's companies, the runs, the parts
        assert len(api.get(URL).json()["results"]) == 31
