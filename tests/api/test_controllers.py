"""Controllers over REST."""

from datetime import date

import pytest

from fleet.models import Controller, WaterSource
from tests.cast import Cast, a_site

pytestmark = pytest.mark.django_db
URL = "/api/v1/controllers/"


def test_a_controller_is_read_with_the_names_of_the_model(api, cast: Cast):
    source = WaterSource.objects.create(site=cast.site, name="Main tap")
    Controller.objects.filter(pk=cast.controller.pk).update(source=source, rain_sensor=True)
    api.force_authenticate(cast.technician)
    expected = {
        "id": cast.controller.pk,
        "name": "Gym wall of Larkspur Irrigation",
        "site": cast.site.pk,
        "site_name": "Grounds of Larkspur Irrigation",
        "client": cast.client.pk,
        "client_name": "School of Larkspur Irrigation",
        "serial_number": "L-1",
        "zone_capacity": 12,
        "program_capacity": 3,
        "starts_per_program": 4,
        "percent_step": 5,
        "percent_max": 200,
        "percent_scope": "program",
        "minute_step": 1.0,
        "cycle_and_soak": True,
        "zones_at_once": 1,
        "master_valve": False,
        "flow_sensor": False,
        "rain_sensor": True,
        "freeze_sensor": False,
        "delivery": "office",
        "source": source.pk,
    }
    assert api.get(URL).json()["results"] == [expected]
    assert api.get(f"{URL}{cast.controller.pk}/").json() == expected


def test_controllers_are_filtered(api, cast: Cast):
    elsewhere = Controller.objects.create(site=a_site(cast.client, "Annex"), name="Shed", delivery="on_site")
    api.force_authenticate(cast.owner)
    for query in (f"?site={elsewhere.site_id}", "?delivery=on_site"):
        assert [row["id"] for row in api.get(URL + query).json()["results"]] == [elsewhere.pk]
    assert len(api.get(f"{URL}?client={cast.client.pk}").json()["results"]) == 2


def test_a_stranger_sees_none_of_them(api, cast: Cast, stranger):
    api.force_authenticate(stranger)
    assert api.get(URL).json()["results"] == []
    assert api.get(f"{URL}?site={cast.site.pk}").json()["results"] == []
    assert api.get(f"{URL}{cast.controller.pk}/").status_code == 404


def test_a_client_reads_their_own_once_access_is_open(api, cast: Cast):
    api.force_authenticate(cast.client_person)
    assert [row["id"] for row in api.get(URL).json()["results"]] == [cast.controller.pk]
    for closed in (None, date(2026, 7, 7)):
        type(cast.client).objects.filter(pk=cast.client.pk).update(access_from=closed)
        api.force_authenticate(type(cast.client_person).objects.get(pk=cast.client_person.pk))
        assert api.get(URL).json()["results"] == []


def test_a_list_takes_as_many_queries_for_thirty_as_for_one(api, cast: Cast, django_assert_num_queries):
    for number in range(30):
        Controller.objects.create(site=a_site(cast.client, f"Lot {number}"), name="Wall")
    api.force_authenticate(cast.owner)
    with django_assert_num_queries(3):  # the person's companies, their open clients, the controllers
        assert len(api.get(URL).json()["results"]) == 31


def test_no_controller_is_replaced_whole(api, cast: Cast):
    api.force_authenticate(cast.owner)
    assert api.put(f"{URL}{cast.controller.pk}/").status_code == 405
