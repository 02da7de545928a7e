"""Nobody writes over what they have not read."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connections
from rest_framework.test import APIClient

from fleet.models import Zone
from tests.cast import Cast, a_cast

READ = ("changes", "clients", "sites", "controllers", "zones", "programs", "nightly-runs")


def address(cast: Cast, rows: str) -> str:
    row = cast.run if rows == "nightly-runs" else getattr(cast, rows.removesuffix("s"))
    return f"/api/v1/{rows}/{row.pk}/"


@pytest.mark.django_db
@pytest.mark.parametrize("rows", READ)
def test_a_row_comes_with_its_version_and_is_not_sent_twice(api, cast: Cast, rows):
    api.force_authenticate(cast.office)
    first = api.get(address(cast, rows))
    etag = first["ETag"]
    assert etag.startswith('"') and not etag.startswith("W/")
    for known in (etag, f'"other", {etag}', f"W/{etag}", "*"):
        again = api.get(address(cast, rows), headers={"If-None-Match": known})
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", etag)
    for unknown in ('"other"', "", "nonsense"):
        assert api.get(address(cast, rows), headers={"If-None-Match": unknown}).status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["patch", "delete"])
def test_without_a_version_nothing_is_written(api, cast: Cast, method):
    api.force_authenticate(cast.office)
    for none in ({}, {"If-Match": " "}):
        answer = getattr(api, method)(address(cast, "zones"), {"name": "X"}, format="json", headers=none)
        assert answer.status_code == 428
        assert answer["Content-Type"] == "application/problem+json"
    assert Zone.objects.get().name == cast.zone.name


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["patch", "delete"])
@pytest.mark.parametrize("stale", ['"0000"', "nonsense", "W/{}"])
def test_a_stale_version_is_told_the_current_one(api, cast: Cast, method, stale):
    api.force_authenticate(cast.office)
    etag = api.get(address(cast, "zones"))["ETag"]
    headers = {"If-Match": stale.format(etag)}
    answer = getattr(api, method)(address(cast, "zones"), {"name": "X"}, format="json", headers=headers)
    assert (answer.status_code, answer["ETag"], answer.json()["status"]) == (412, etag, 412)
    assert Zone.objects.get().name == cast.zone.name


@pytest.mark.django_db
def test_any_version_may_be_meant_and_a_version_is_used_up_by_a_write(api, cast: Cast):
    api.force_authenticate(cast.office)
    etag = api.get(address(cast, "zones"))["ETag"]
    for headers, status in (
        ({"If-Match": f'"other", {etag}'}, 200),
        ({"If-Match": etag}, 412),
        ({"If-Match": "*"}, 200),
    ):
        name = f"Bed {status} {len(headers['If-Match'])}"
        answer = api.patch(address(cast, "zones"), {"name": name}, format="json", headers=headers)
        assert answer.status_code == status


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("turn", range(3))
def test_of_four_who_read_the_same_one_writes(on_the_day, turn):
    cast = a_cast()
    where = address(cast, "zones")
    reader = APIClient()
    reader.force_authenticate(cast.office)
    etag, gate = reader.get(where)["ETag"], Barrier(4)

    def edit(name: str) -> Any:
        api = APIClient()
        api.force_authenticate(cast.office)
        try:
            gate.wait(timeout=10)
            return api.patch(where, {"name": name}, format="json", headers={"If-Match": etag}).status_code
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as pool:
        statuses = list(pool.map(edit, "ABCD"))
    assert sorted(statuses) == [200, 412, 412, 412]
    assert Zone.objects.get().name == "ABCD"[statuses.index(200)]
