"""A site of twelve zones from nothing to open access, over REST alone; and what is refused on the way."""

from typing import Any

import pytest

from fleet.models import Client, ClientAccess, User, Zone
from tests.cast import TIMEZONE, TODAY, Cast, a_cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def say(api: Any, cast: Cast):
    api.force_authenticate(cast.office)

    def post(address: str, body: Any, status: int = 201, **headers: str) -> Any:
        answer = api.post(f"/api/v1/{address}/", body, format="json", headers=headers)
        assert answer.status_code == status, answer.content
        return answer.json()

    return post


def rows(count: int = 12) -> list[dict[str, Any]]:
    return [
        {"number": n, "name": f"Zone {n}", "plant": "cool_turf", "area_m2": 80 + n}
        for n in range(1, count + 1)
    ]


def test_twelve_zones_from_nothing_to_open_access(api, cast: Cast, say):
    client = say("clients", {"name": "Marsh Court"})["id"]
    place = api.get("/api/v1/places/?zip=95945").json()
    assert (place["timezone"], place["about"]) == (
        TIMEZONE,
        "about the middle of ZIP 95945 (Grass Valley, CA); correct it",
    )
    assert (place["elevation_m"], place["elevation_basis"]) == (310.0, "assumed")
    kept = ("latitude", "longitude", "timezone", "elevation_m", "elevation_basis")
    site = say("sites", {"client": client, "name": "Court", **{name: place[name] for name in kept}})["id"]
    source = say("water-sources", {"site": site, "name": "Tap", "flow_l_min": 60, "static_pressure_kpa": 400})
    box = say("controllers", {"site": site, "name": "Garage", "source": source["id"]})["id"]
    kind = say(
        "zone-presets",
        {
            "name": "Lawn",
            "plant": "cool_turf",
            "head": "spray",
            "soil": "loam",
            "sun": "full",
            "slope_percent": 1,
        },
    )
    lawn = {name: kind[name] for name in ("plant", "head", "soil", "sun", "slope_percent")}
    zones = say(f"controllers/{box}/zones", [row | lawn for row in rows()])
    assert [zone["number"] for zone in zones] == list(range(1, 13))
    runs = [{"zone": zone["id"], "minutes": 10} for zone in zones]
    program = say(
        "programs",
        {
            "controller": box, "letter": "A", "days": "mon wed fri", "starts": ["04:00"],
            "effective": TODAY.isoformat(), "runs": runs,
        },
    )  # fmt: skip
    say("settings", {"program": program["id"], "percent": 100, "effective_from": TODAY.isoformat()})
    opened = say(
        f"clients/{client}/access", {"access_from": TODAY.isoformat(), "readers": ["Reader@marsh.test"]}, 200
    )
    assert opened == {"client": client, "access_from": "2026-07-06", "readers": ["reader@marsh.test"]}
    api.force_authenticate(User.objects.get(email="reader@marsh.test"))
    assert len(api.get(f"/api/v1/zones/?controller={box}").json()["results"]) == 12


def test_all_zones_or_none_and_every_row_told(cast: Cast, say):
    before = Zone.objects.count()
    body = rows()
    body[2]["area_m2"] = -4
    body[4]["number"] = 1
    body[7]["color"] = "green"
    errors = say(f"controllers/{cast.controller.pk}/zones", body, 400)["errors"]
    assert {error["field"] for error in errors} == {"2.area_m2", "7.color"}
    del body[7]["color"]
    body[2]["area_m2"] = 40
    errors = say(f"controllers/{cast.controller.pk}/zones", body, 400)["errors"]
    assert {error["field"] for error in errors} == {"0.number", "4.number"}  # zone 1 was there before
    assert Zone.objects.count() == before
    for what in ({}, [], [1], "text", [[]], [{}] * 1000):
        say(f"controllers/{cast.controller.pk}/zones", what, 400)
    assert Zone.objects.count() == before


def test_zones_sent_twice_are_set_up_once(cast: Cast, say):
    body = [row | {"number": row["number"] + 1} for row in rows(4)]
    address = f"controllers/{cast.controller.pk}/zones"
    first = say(address, body, **{"Idempotency-Key": "a"})
    assert say(address, body, **{"Idempotency-Key": "a"}) == first
    assert Zone.objects.filter(controller=cast.controller).count() == 5


def test_who_may_not(api, cast: Cast, say):
    for who, status in ((cast.technician, 403), (cast.client_person, 404)):
        api.force_authenticate(who)
        say(f"controllers/{cast.controller.pk}/zones", rows(), status)
        say(f"clients/{cast.client.pk}/access", {"access_from": None}, status)
    other = a_cast("Quillback Gardens", "quillback.test")
    api.force_authenticate(cast.owner)
    say(f"controllers/{other.controller.pk}/zones", rows(), 404)
    say(f"clients/{other.client.pk}/access", {"access_from": None}, 404)


def test_access_is_opened_whole_or_not(cast: Cast, say):
    address = f"clients/{cast.client.pk}/access"
    before = cast.client.access_from
    for body in (
        {},
        {"access_from": "soon"},
        {"access_from": "1980-01-01"},
        {"access_from": TODAY.isoformat(), "readers": ["good@x.test", "bad"]},
        {"access_from": TODAY.isoformat(), "readers": "a@b.test"},
    ):
        say(address, body, 400)
    assert Client.objects.get(pk=cast.client.pk).access_from == before
    assert not User.objects.filter(email="good@x.test").exists()
    say(address, {"access_from": None, "readers": [cast.client_person.email]}, 200)  # who may already, stays
    assert Client.objects.get(pk=cast.client.pk).access_from is None
    assert ClientAccess.objects.filter(client=cast.client).count() == 1


@pytest.mark.parametrize(
    "query",
    ["", "latitude=3", "latitude=nan&longitude=2", "latitude=91&longitude=0", "zip=1", "zip=00000",
     "zip=95945&latitude=3", "latitude=inf&longitude=0", "zip=9594٥"],
)  # fmt: skip
def test_a_place_that_cannot_be(api, cast: Cast, query):
    api.force_authenticate(cast.office)
    assert api.get(f"/api/v1/places/?{query}").status_code == 400
