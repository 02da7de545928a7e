"""The fleet over REST, read only: field names, filters, whose it is, and the queries it costs."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Meter, Site, SiteCorrection, SoilObservation, Zone, ZoneTrim
from scheduling.models import Program, Setting, Skip
from tests.cast import MORNING, TODAY, Cast, a_program, a_site, a_zone

pytestmark = pytest.mark.django_db
ROWS = (
    "clients", "sites", "water-sources", "zones", "programs", "settings", "skips", "observations", "trims",
    "site-corrections", "can-audits", "zone-tests", "episodes", "meters", "meter-readings", "meter-bills",
)  # fmt: skip


@pytest.fixture
def setting(cast: Cast) -> Setting:
    return Setting.objects.create(program=cast.program, percent=90, effective_from=TODAY)


def a_fair(program: Program) -> Skip:
    return program.skips.create(effective_from=TODAY, effective_to=TODAY, reason="Fair.")


def looked_at(zone: Zone) -> SoilObservation:
    return zone.soil_observations.create(date=TODAY, depletion_share=0.4)


def trimmed(zone: Zone) -> ZoneTrim:
    return zone.trims.create(factor=0.9, reason="Fence.", effective_from=TODAY)


def corrected(site: Site) -> SiteCorrection:
    return site.corrections.create(factor=0.9, reason="Walls.", effective_from=TODAY)


def metered(site: Site) -> Meter:
    meter = Meter.objects.create(site=site, name="Main", unit="kgal")
    meter.readings.create(read_at=MORNING, value=100)
    meter.bills.create(first=TODAY, last=TODAY, used=12)
    return meter


def read(api: Any, who: Any, address: str, **asked: Any) -> Any:
    api.force_authenticate(who)
    return api.get(f"/api/v1/{address}", asked)


def test_every_list_has_the_own_row_and_only_that(api, cast: Cast, setting: Setting, stranger):
    meter = metered(cast.site)
    own = {
        "meters": meter, "meter-readings": meter.readings.get(), "meter-bills": meter.bills.get(),
        "clients": cast.client, "sites": cast.site, "zones": cast.zone, "programs": cast.program,
        "settings": setting, "water-sources": cast.site.water_sources.create(name="Tap"),
        "skips": a_fair(cast.program), "observations": looked_at(cast.zone), "trims": trimmed(cast.zone),
        "site-corrections": corrected(cast.site),
        "can-audits": cast.zone.can_audits.create(
            date=TODAY, minutes=10, throat_cm2=100, volumes_ml=[20, 22, 18, 25]
        ),
        "zone-tests": cast.zone.tests.create(date=TODAY, flow_l_min=40),
        "episodes": cast.zone.episodes.create(kind="off", effective_from=TODAY),
    }  # fmt: skip
    for rows, row in own.items():
        answer = read(api, cast.technician, f"{rows}/").json()
        assert set(answer) == {"next", "previous", "results"}
        assert [one["id"] for one in answer["results"]] == [row.pk], rows
        assert read(api, cast.owner, f"{rows}/{row.pk}/").json()["id"] == row.pk
        assert read(api, stranger, f"{rows}/").json()["results"] == [], rows
        assert read(api, stranger, f"{rows}/{row.pk}/").status_code == 404, rows


def test_a_client_reads_their_own_and_no_note_of_the_office(api, cast: Cast):
    answer = read(api, cast.client_person, f"clients/{cast.client.pk}/").json()
    assert answer == {"id": cast.client.pk, "name": cast.client.name, "access_from": "2026-05-01"}


def test_a_program_comes_with_its_runs(api, cast: Cast):
    answer = read(api, cast.owner, f"programs/{cast.program.pk}/").json()
    assert answer["starts"] == ["04:30"]
    assert answer["runs"] == [
        {"zone": cast.zone.pk, "minutes": 12.0, "cycle": None, "soak": None, "order": 1}
    ]


@pytest.mark.parametrize(
    ("rows", "name"),
    [("sites", "client"), ("zones", "site"), ("programs", "controller"), ("settings", "program")],
)
def test_a_filter_keeps_what_it_says(api, cast: Cast, setting: Setting, rows: str, name: str):
    ids = {"client": cast.client, "site": cast.site, "controller": cast.controller, "program": cast.program}
    assert len(read(api, cast.owner, f"{rows}/", **{name: ids[name].pk}).json()["results"]) == 1
    assert read(api, cast.owner, f"{rows}/", **{name: ids[name].pk + 9}).json()["results"] == []
    assert read(api, cast.owner, f"{rows}/", **{name: "all"}).status_code == 400


@pytest.mark.parametrize("rows", ROWS)
def test_a_list_is_neither_replaced_nor_removed(api, cast: Cast, rows: str):
    api.force_authenticate(cast.owner)
    for method in (api.put, api.patch, api.delete):
        assert method(f"/api/v1/{rows}/", {}, format="json").status_code == 405


@pytest.mark.parametrize("rows", ROWS)
def test_fifty_rows_cost_as_many_queries_as_one(api, cast: Cast, setting: Setting, rows: str):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert read(api, cast.owner, f"{rows}/").status_code == 200
        return len(seen)

    metered(
        cast.site
    )  # rows of a list are followed by one question for what hangs on them, whatever their number
    queries()  # what a person may see is read once
    few = queries()
    for n in range(20):
        lot = a_site(cast.client, f"Lot {n}")
        lot.water_sources.create(name="Tap")
        corrected(lot)
        metered(lot)
        zone = a_zone(cast.controller, n + 2)
        program = a_program(cast.controller, f"Z{n}"[:2], effective=TODAY.replace(day=1 + n))
        program.runs.create(zone=zone, minutes=5)
        Setting.objects.create(program=program, percent=80, effective_from=TODAY)
        a_fair(program), looked_at(zone), trimmed(zone)
    assert queries() == few
