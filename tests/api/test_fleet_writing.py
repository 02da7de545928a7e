"""Setting clients, sites, water sources, controllers and zones up over REST, editing and removing them."""

from typing import Any

import pytest

from fleet.models import Client, Controller, Membership, Site, WaterSource, Zone
from tests.cast import TIMEZONE, Cast, a_site

pytestmark = pytest.mark.django_db
PLACE = {"latitude": 39.21, "longitude": -121.06, "elevation_m": 310, "timezone": TIMEZONE}
ROWS = ("clients", "sites", "water-sources", "controllers", "zones")


def bodies(cast: Cast) -> dict[str, dict[str, Any]]:
    return {
        "clients": {"name": "Marsh School"},
        "sites": {"client": cast.client.pk, "name": "Yard", **PLACE},
        "water-sources": {"site": cast.site.pk, "name": "Well", "kind": "well", "flow_l_min": 60},
        "controllers": {"site": cast.site.pk, "name": "Shed", "percent_step": 10, "delivery": "on_site"},
        "zones": {"controller": cast.controller.pk, "number": 7, "name": "Bank", "plant": "cool_turf"},
    }


def post(api: Any, who: Any, rows: str, body: Any, **headers: str) -> Any:
    api.force_authenticate(who)
    return api.post(f"/api/v1/{rows}/", body, format="json", headers=headers)


def write(api: Any, who: Any, method: str, address: str, body: Any = None) -> Any:
    """Edit or remove a row in the version it has now."""
    api.force_authenticate(who)
    etag = api.get(address).headers["ETag"]
    return getattr(api, method)(address, body, format="json", headers={"If-Match": etag})


def fields(answer: Any) -> set[str]:
    assert answer.status_code == 400, answer.content
    return {error["field"] for error in answer.json()["errors"]}


@pytest.mark.parametrize("rows", ROWS)
def test_what_is_set_up_is_answered_as_it_is_read(api, cast: Cast, rows):
    body = bodies(cast)[rows]
    answer = post(api, cast.office, rows, body)
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in body} == body
    read = api.get(answer["Location"])
    assert (read.json(), read["ETag"]) == (answer.json(), answer["ETag"])


@pytest.mark.parametrize("rows", ROWS)
def test_only_the_owner_and_the_office_set_up(api, cast: Cast, stranger, rows):
    for who in (cast.technician, cast.client_person):
        assert post(api, who, rows, bodies(cast)[rows]).status_code == 403
        assert post(api, who, rows, {}).status_code == 403
    if rows != "clients":
        assert fields(post(api, stranger, rows, bodies(cast)[rows])) == {next(iter(bodies(cast)[rows]))}
    assert post(api, cast.owner, rows, bodies(cast)[rows]).status_code == 201


@pytest.mark.parametrize(
    ("rows", "edit"),
    [
        ("clients", {"phone": "+1 530 555 0100", "note": "Gate at the back."}),
        ("sites", {"season": "closing"}),
        ("water-sources", {"flow_l_min": 88.0}),
        ("controllers", {"delivery": "on_site", "rain_sensor": True}),
        ("zones", {"uniformity": 0.7, "basis": {"uniformity": "measured"}}),
    ],
)
def test_only_what_is_said_is_edited(api, cast: Cast, rows, edit):
    made = post(api, cast.office, rows, bodies(cast)[rows])
    address, before = made["Location"], made.json()
    answer = write(api, cast.office, "patch", address, edit)
    assert answer.status_code == 200, answer.content
    assert answer.json() == before | edit
    assert answer["ETag"] != made["ETag"]
    assert api.get(address).json() == before | edit
    assert write(api, cast.technician, "patch", address, edit).status_code == 403
    assert write(api, cast.client_person, "patch", f"/api/v1/zones/{cast.zone.pk}/", {}).status_code == 403


@pytest.mark.parametrize("rows", ROWS)
def test_a_row_with_nothing_on_it_is_removed(api, cast: Cast, rows):
    address = post(api, cast.office, rows, bodies(cast)[rows])["Location"]
    assert write(api, cast.technician, "delete", address).status_code == 403
    assert write(api, cast.office, "delete", address).status_code == 204
    assert api.get(address).status_code == 404


def test_a_row_with_something_on_it_stays(api, cast: Cast):
    source = WaterSource.objects.create(site=cast.site, name="Tap")
    Controller.objects.filter(pk=cast.controller.pk).update(source=source)
    hung = {
        f"clients/{cast.client.pk}": "sites",
        f"sites/{cast.site.pk}": "controllers",
        f"water-sources/{source.pk}": "controllers",
        f"controllers/{cast.controller.pk}": "zones",
        f"zones/{cast.zone.pk}": "zone runs",
    }
    for address, what in hung.items():
        answer = write(api, cast.owner, "delete", f"/api/v1/{address}/")
        assert (answer.status_code, answer.json()["current_status"]) == (409, "in use"), address
        assert answer.json()["detail"].startswith("There are "), what
    assert Zone.objects.filter(pk=cast.zone.pk).exists()


def test_a_site_is_given_the_weather_of_its_place(api, cast: Cast):
    made = post(api, cast.office, "sites", bodies(cast)["sites"]).json()
    site = Site.objects.select_related("cell").get(pk=made["id"])
    assert abs(site.cell.latitude - 39.21) < 0.03
    neighbour = post(
        api, cast.office, "sites", {**bodies(cast)["sites"], "name": "Yard 2", "elevation_m": 330}
    )
    assert neighbour.json()["cell"] == made["cell"]
    moved = write(api, cast.office, "patch", f"/api/v1/sites/{site.pk}/", {"latitude": 40.5}).json()
    assert moved["cell"] != made["cell"]
    assert (
        write(api, cast.office, "patch", f"/api/v1/sites/{site.pk}/", {"name": "Y"}).json()["cell"]
        == moved["cell"]
    )


def test_a_row_stays_where_it_hangs(api, cast: Cast):
    other = a_site(cast.client, "Elsewhere")
    answer = write(
        api, cast.office, "patch", f"/api/v1/controllers/{cast.controller.pk}/", {"site": other.pk}
    )
    assert fields(answer) == {"site"}


def test_a_person_of_two_companies_says_for_which(api, cast: Cast, stranger):
    Membership.objects.create(user=cast.owner, company=stranger.memberships.get().company, role="office")
    assert fields(post(api, cast.owner, "clients", {"name": "Marsh"})) == {"company"}
    answer = post(api, cast.owner, "clients", {"name": "Marsh", "company": cast.company.pk})
    assert Client.objects.get(pk=answer.json()["id"]).company_id == cast.company.pk
    assert fields(post(api, cast.office, "clients", {"name": "M", "company": stranger.company_ids()[0]})) == {
        "company"
    }


@pytest.mark.parametrize("rows", ROWS)
def test_a_name_or_number_is_given_once(api, cast: Cast, rows):
    body = bodies(cast)[rows]
    assert post(api, cast.office, rows, body).status_code == 201
    assert fields(post(api, cast.office, rows, body)) == {"number" if rows == "zones" else "name"}


@pytest.mark.parametrize(
    ("rows", "wrong"),
    [
        ("clients", {"name": ""}),
        ("clients", {"name": "   "}),
        ("clients", {"name": None}),
        ("clients", {"name": 7}),
        ("clients", {"name": ["x"]}),
        ("clients", {"name": "a\x00b"}),
        ("clients", {"name": "x" * 10_000}),
        ("clients", {"note": "x" * 10_001}),
        ("clients", {"email": "nobody"}),
        ("clients", {"access_from": "2026-02-30"}),
        ("clients", {"access_from": "0001-01-01"}),
        ("clients", {"access_from": 20260706}),
        ("clients", {"id": 5}),
        ("sites", {"latitude": 91}),
        ("sites", {"latitude": "39"}),
        ("sites", {"latitude": True}),
        ("sites", {"longitude": -181}),
        ("sites", {"elevation_m": -500}),
        ("sites", {"elevation_m": 9001}),
        ("sites", {"timezone": "Mars/Olympus"}),
        ("sites", {"timezone": "../../etc/passwd"}),
        ("sites", {"season": "dry"}),
        ("sites", {"client": "1"}),
        ("sites", {"client": 1.5}),
        ("sites", {"client": None}),
        ("sites", {"client": 2**63}),
        ("sites", {"client": [1]}),
        ("sites", {"balance_from": "2026-07-01"}),
        ("water-sources", {"kind": "sea"}),
        ("water-sources", {"flow_l_min": 0}),
        ("water-sources", {"flow_l_min": -3}),
        ("water-sources", {"flow_l_min": 1e300}),
        ("controllers", {"delivery": "pigeon"}),
        ("controllers", {"percent_step": 0}),
        ("controllers", {"percent_max": 501}),
        ("controllers", {"minute_step": 0}),
        ("controllers", {"zones_at_once": 0}),
        ("controllers", {"zone_capacity": 10**20}),
        ("controllers", {"cycle_and_soak": "true"}),
        ("controllers", {"percent_scope": "zone"}),
        ("zones", {"number": 0}),
        ("zones", {"number": 13}),
        ("zones", {"number": "7"}),
        ("zones", {"plant": "moss"}),
        ("zones", {"uniformity": 1.2}),
        ("zones", {"area_m2": -5}),
        ("zones", {"area_m2": 1e12}),
        ("zones", {"root_depth_mm": 1}),
        ("zones", {"wetted_share": None}),
        ("zones", {"basis": {"area_m2": "guessed"}}),
        ("zones", {"basis": {"colour": "table"}}),
        ("zones", {"basis": ["area_m2"]}),
    ],
)
def test_what_cannot_be_is_told_at_its_field(api, cast: Cast, rows, wrong):
    (field,) = wrong
    before = (Client.objects.count(), Site.objects.count(), Zone.objects.count(), Controller.objects.count())
    told = fields(post(api, cast.office, rows, bodies(cast)[rows] | wrong))
    assert {name.split(".")[0] for name in told} == {field}
    assert before == (
        Client.objects.count(),
        Site.objects.count(),
        Zone.objects.count(),
        Controller.objects.count(),
    )


@pytest.mark.parametrize(
    "name", ["مدرسة الزهور", "בית ספר", "School 🌱🚿", "‮drawkcab", "Ærø Øst", "<b>x</b>"]
)
def test_a_name_in_any_script_is_kept_as_it_is(api, cast: Cast, name):
    assert post(api, cast.office, "clients", {"name": name}).json()["name"] == name
    assert post(api, cast.office, "zones", bodies(cast)["zones"] | {"name": name}).json()["name"] == name


@pytest.mark.parametrize("other", ["site", "source"])
def test_the_rows_of_others_do_not_exist_in_a_body(api, cast: Cast, stranger, other):
    theirs = a_site(Client.objects.create(company_id=stranger.company_ids()[0], name="Theirs"))
    ids = {"site": theirs.pk, "source": theirs.water_sources.create(name="Tap").pk}
    answer = post(api, cast.office, "controllers", bodies(cast)["controllers"] | {other: ids[other]})
    assert fields(answer) == {other}
    nowhere = post(api, cast.office, "controllers", bodies(cast)["controllers"] | {other: 10**12})
    assert nowhere.json()["detail"].replace(str(10**12), "") == answer.json()["detail"].replace(
        str(ids[other]), ""
    )
