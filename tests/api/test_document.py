"""The OpenAPI document: complete, readable without signing in, and kept by the endpoints."""

import json
import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from io import BytesIO
from typing import Any

import pytest
import schemathesis
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, connection, transaction
from hypothesis import HealthCheck, given, settings
from knox.models import AuthToken
from PIL import Image
from schemathesis import GenerationMode
from schemathesis.checks import positive_data_acceptance
from werkzeug.test import Client as Browser

from config.wsgi import application
from fleet.services.photos import add_photo
from tests.cast import MORNING, TODAY, Cast, a_cast
from tests.summaries import summary_figures

# Over all endpoints, what fits and what doesn't. What a database may answer otherwise shows in fewer.
CASES, CASES_TO_PROVE = (400 if os.environ.get("BLUESTEM_TEST_DATABASE_URL") else 2_000), 20_000
CAREFUL = settings(
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
MODES = list(GenerationMode)
CHANGE = "/api/v1/changes/{id}/"
FIGURES = {"cv_rmse": 0.1, "r2": 0.9, "nmbe": 0.0, "rho": 0.1, "effective": 10.0}
SET_UP = (
    "clients", "sites", "water-sources", "controllers", "zones", "zone-presets", "programs", "skips",
    "watering-rules", "towns", "meters", "meter-readings", "meter-bills", "tariffs",
    "watering-rules", "towns", "meters", "meter-readings", "meter-bills",
    "non-routine-changes",
)  # fmt: skip
NOTED = (
    "settings",
    "observations",
    "trims",
    "site-corrections",
    "can-audits",
    "zone-tests",
    "episodes",
)  # facts: set right, never removed
FLEET = (*SET_UP, *NOTED)
ENDPOINTS = [
    ("/api/v1/changes/", "get"),
    (CHANGE, "get"),
    *((f"{CHANGE}{verb}/", "post") for verb in ("approve", "decline", "apply", "undo")),
    ("/api/v1/clients/{id}/savings/", "get"),
    *((f"/api/v1/{rows}/", "get") for rows in FLEET),
    *((f"/api/v1/{rows}/{{id}}/", "get") for rows in FLEET),
    *((f"/api/v1/{rows}/", "post") for rows in FLEET),
    *((f"/api/v1/{rows}/{{id}}/", "patch") for rows in FLEET),
    *((f"/api/v1/{rows}/{{id}}/", "delete") for rows in SET_UP),
    *(("/api/v1/client-notes/", method) for method in ("get", "post")),
    *((f"/api/v1/client-notes/{{id}}/{what}", "get") for what in ("", "offers/")),
    *(
        (f"/api/v1/client-notes/{{id}}/{does}/", "post")
        for does in ("answer", "withdraw", "take-back", "skip")
    ),
    ("/api/v1/photos/", "get"),
    ("/api/v1/photos/", "post"),
    *((f"/api/v1/photos/{{id}}/{size}", "get") for size in ("", "image/", "thumbnail/")),
    ("/api/v1/photos/{id}/", "delete"),
    ("/api/v1/towns/{id}/stage/", "post"),
    ("/api/v1/sites/{id}/weather/", "get"),
    ("/api/v1/sites/{id}/budget/", "get"),
    ("/api/v1/controllers/{id}/zones/", "post"),
    ("/api/v1/clients/{id}/access/", "post"),
    ("/api/v1/meters/{id}/readings/", "post"),
    ("/api/v1/meters/{id}/hours/", "post"),
    ("/api/v1/meter-baselines/", "get"),
    ("/api/v1/meter-baselines/{id}/", "get"),
    ("/api/v1/places/", "get"),
    ("/api/v1/controllers/{id}/timeline/", "get"),
    ("/api/v1/controllers/{id}/plan/", "get"),
    ("/api/v1/controllers/{id}/plan/", "post"),
    ("/api/v1/controllers/{id}/plan/adopt/", "post"),
    ("/api/v1/controllers/{id}/arrangement/", "get"),
    ("/api/v1/advice/", "get"),
    ("/api/v1/advice/{id}/", "get"),
    ("/api/v1/advice/{id}/propose/", "post"),
    ("/api/v1/nightly-runs/", "get"),
    ("/api/v1/nightly-runs/{id}/", "get"),
    ("/api/v1/water-by-client/", "get"),
    ("/api/v1/water-by-client/totals/", "get"),
    ("/api/v1/summaries/", "get"),
    ("/api/v1/summaries/{id}/", "get"),
    ("/api/v1/summaries/{id}/paper/", "get"),
    ("/api/v1/token/", "post"),
    ("/api/v1/token/", "delete"),
]

DECIDING = {
    "ApplyInput": ["applied_on", "note"],
    "ApproveInput": ["value", "note"],
    "DeclineInput": ["note"],
    "ProposeInput": ["note"],
    "StageInput": ["stage", "preview", "from"],
    "TokenInput": ["email", "password"],
    "UndoInput": ["note"],
}
WRITTEN = (
    "Client",
    "Site",
    "WaterSource",
    "Controller",
    "Zone",
    "Skip",
    "Observation",
    "Trim",
    "SiteCorrection",
    "CanAudit",
    "ZoneTest",
    "Episode",
    "Meter",
    "MeterReading",
    "MeterBill",
    "NonRoutineChange",
    "WateringRule",
    "Town",
    "Tariff",
)
WRITING = {
    *(f"{patched}{row}Input" for row in WRITTEN for patched in ("", "Patched")),
    "MeasuredInput",
    "PhotoInput",
    *("MeterReadingOfManyInput", "MeterHourInput"),
    "TierInput",
    *("ZonePresetInput", "PatchedZonePresetEditInput", "BulkZoneInput", "AccessInput"),
    *("OverridesInput", "PlanAdoptInput", "PlanTryInput", "ProgramWishInput", "ZoneWishInput"),
    *("NoteInput", "AnswerInput", "NoteSkipInput", "ChosenInput"),
    *("ProgramInput", "PatchedProgramEditInput", "RunInput", "SettingInput", "PatchedSettingEditInput"),
}


@pytest.fixture
def document(client) -> dict:
    response = client.get("/api/v1/schema/?format=json")
    assert response.status_code == 200
    return json.loads(response.content)


@pytest.mark.django_db
def test_every_error_is_described_as_problem_details(document):
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            errors = {s: r for s, r in operation["responses"].items() if s >= "400"}
            assert "401" in errors, (path, method)
            for response in errors.values():
                assert set(response["content"]) == {"application/problem+json"}
    approve = document["paths"]["/api/v1/changes/{id}/approve/"]["post"]
    assert set(approve["responses"]) == {"200", "400", "401", "403", "404", "406", "409", "413", "415", "422"}
    assert approve["responses"]["409"]["content"]["application/problem+json"]["example"]["current_status"]


@pytest.mark.django_db
def test_bodies_name_their_fields_and_take_no_others(document):
    bodies = {name: s for name, s in document["components"]["schemas"].items() if name.endswith("Input")}
    assert {name: list(bodies[name]["properties"]) for name in DECIDING} == DECIDING
    assert {name for name in bodies if name not in DECIDING} == WRITING
    assert all(s["additionalProperties"] is False for s in bodies.values())


@pytest.mark.django_db
def test_the_examples_have_every_field(document):
    schemas = document["components"]["schemas"]
    responses = document["paths"]["/api/v1/changes/{id}/"]["get"]["responses"]
    for example in responses["200"]["content"]["application/json"]["examples"].values():
        assert set(example["value"]) == set(schemas["ChangeDetail"]["properties"])
    assert {"token", "cookieAuth"} == set(document["components"]["securitySchemes"])


@pytest.mark.django_db
def test_the_page_of_the_document_carries_nothing_its_content_policy_forbids(client):
    response = client.get("/api/v1/")
    page = response.content.decode()
    assert response.status_code == 200
    assert "<style" not in page
    assert "<script>" not in page
    assert "//" not in page.replace("<!DOCTYPE", "").replace("://testserver", "")
    script = client.get("/api/v1/?script=")
    assert script["Content-Type"].startswith("application/javascript")
    assert "/api/v1/schema/" in script.content.decode()


@pytest.fixture
def company(db: None, on_the_day: date) -> Iterator[Cast]:
    """A company in a transaction: requests may not hang up on the database, as with Django's own client."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield a_cast()
    for signal in signals:
        signal.connect(close_old_connections)


@pytest.fixture(scope="module")
def contract(django_db_setup: None, django_db_blocker: Any) -> Any:
    """Read the document once: to write and to read it takes longer than an endpoint's cases."""
    with django_db_blocker.unblock():
        return schemathesis.openapi.from_wsgi("/api/v1/schema/", application)


@pytest.mark.once
@pytest.mark.parametrize("mode", MODES, ids=["what fits", "what does not fit"])
@pytest.mark.parametrize(("path", "method"), ENDPOINTS, ids=lambda word: word)
def test_an_endpoint_answers_as_its_document_says(contract, company: Cast, path, method, mode):
    """Whatever is sent: no fault, and no answer that the document doesn't know."""
    asked(contract[path][method], company, mode, cases=CASES)


@pytest.mark.prove
@pytest.mark.sqlite
def test_twenty_thousand_requests_meet_no_fault(contract, company: Cast):
    """Ten times as many, and what they were answered."""
    answers = sum(
        (
            asked(contract[path][method], company, mode, cases=CASES_TO_PROVE)
            for path, method in ENDPOINTS
            for mode in MODES
        ),
        Counter[int](),
    )
    assert max(answers) < 500
    statuses = ", ".join(f"{status}: {count:,}" for status, count in sorted(answers.items()))
    print(f"{answers.total():,} requests to {len(ENDPOINTS)} operations, no fault. Answers: {statuses}")  # noqa: T201


def asked(operation: Any, company: Cast, mode: GenerationMode, *, cases: int) -> Counter[int]:
    """Send an operation its share of all cases, check each answer, and return them by status."""
    answers: Counter[int] = Counter()

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(CAREFUL, max_examples=-(-cases // (len(ENDPOINTS) * len(MODES))))
    def answers_well(case):
        with left_as_it_was():
            _, token = AuthToken.objects.create(user=company.owner)
            with_a_row(case, company, token)
            answer = case.call_and_validate(
                headers={"Authorization": f"Bearer {token}"},
                # A percent off the controller's steps, a date before the program: the document can't say so.
                excluded_checks=[positive_data_acceptance],
            )
        answers[answer.status_code] += 1

    answers_well()
    return answers


def test_no_endpoint_is_left_out(document, db):
    assert {(path, method) for path, ops in document["paths"].items() for method in ops} == set(ENDPOINTS)


@contextmanager
def left_as_it_was() -> Iterator[None]:
    """Take back what a case wrote, once the database has checked what it only checks at the end."""
    cache.clear()
    with transaction.atomic():
        yield
        connection.check_constraints()
        transaction.set_rollback(True)


def with_a_row(case, company: Cast, token: str) -> None:
    """Two cases of three go to a row that exists, in its version, so that they get beyond 404 and 412."""
    if not isinstance(case.path_parameters.get("id"), int) or case.path_parameters["id"] % 3 == 0:
        return
    case.path_parameters["id"] = a_row(case.path.split("/")[3], company).pk
    if case.method in ("PATCH", "DELETE") and "If-Match" in (case.headers or {}):
        signed = {"Authorization": f"Bearer {token}"}
        row = Browser(application).get(case.formatted_path, headers=signed)
        case.headers["If-Match"] = row.headers["ETag"]


def a_row(rows: str, company: Cast) -> Any:
    if rows == "settings":
        found = {"percent": 90, "effective_from": company.program.effective}
        return company.program.settings.first() or company.program.settings.create(**found)
    if rows in ("observations", "trims", "skips", "site-corrections"):
        return noted(rows, company)
    if rows in ("can-audits", "zone-tests", "episodes"):
        return measured(rows, company)
    if rows == "summaries":
        return company.client.summaries.get_or_create(month=TODAY.replace(day=1), figures=summary_figures())[
            0
        ]
    if rows == "client-notes":
        dry = {"words": "Guests.", "dry_from": TODAY, "dry_to": TODAY}
        return company.site.client_notes.first() or company.site.client_notes.create(**dry)
    if rows == "photos":
        return a_photo(company)
    if rows.startswith(("meter", "non-routine")):
        return metered(rows, company)
    if rows == "water-sources":
        return company.site.water_sources.first() or company.site.water_sources.create(name="Tap")
    if rows == "zone-presets":
        presets = company.company.zone_presets
        kind = {"plant": "shrubs", "head": "drip", "soil": "loam", "sun": "full", "slope_percent": 1}
        return presets.first() or presets.create(name="Bed", **kind)
    if rows == "advice":
        said = {"kind": "runoff", "key": "1", "words": "Off.", "found_on": TODAY, "looked_on": TODAY}
        return company.controller.advice.first() or company.controller.advice.create(**said)
    if rows == "towns":
        return company.company.towns.first() or company.company.towns.create(name="Vale")
    if rows == "tariffs":
        priced = {"name": "Vale", "price_per_m3": 2}
        return company.company.tariffs.first() or company.company.tariffs.create(**priced)
    if rows == "watering-rules":
        return company.company.watering_rules.first() or company.company.watering_rules.create(name="Vale")
    return {
        "changes": company.change,
        "clients": company.client,
        "nightly-runs": company.run,
        "controllers": company.controller,
        "sites": company.site,
        "zones": company.zone,
        "programs": company.program,
    }[rows]


def a_photo(company: Cast) -> Any:
    if (photo := company.zone.photos.first()) is not None:
        return photo
    buffer = BytesIO()
    Image.new("RGB", (8, 6), "green").save(buffer, "JPEG")
    return add_photo(by=company.technician, test=measured("zone-tests", company), image=buffer.getvalue())


def noted(rows: str, company: Cast) -> Any:
    zone, on = company.zone, company.program.effective
    if rows == "observations":
        return zone.soil_observations.first() or zone.soil_observations.create(date=on, depletion_share=0.3)
    if rows == "trims":
        return zone.trims.first() or zone.trims.create(factor=1.1, reason="Wind.", effective_from=on)
    if rows == "site-corrections":
        told = {"factor": 0.9, "reason": "Walls.", "effective_from": on}
        return company.site.corrections.first() or company.site.corrections.create(**told)
    skips = company.program.skips
    return skips.first() or skips.create(effective_from=TODAY, effective_to=TODAY, reason="Fair.")


def measured(rows: str, company: Cast) -> Any:
    zone = company.zone
    if rows == "can-audits":
        cans = {"minutes": 10, "throat_cm2": 100, "volumes_ml": [20, 22, 18, 25]}
        return zone.can_audits.first() or zone.can_audits.create(date=TODAY, **cans)
    if rows == "zone-tests":
        return zone.tests.first() or zone.tests.create(date=TODAY, flow_l_min=40)
    return zone.episodes.first() or zone.episodes.create(kind="off", effective_from=TODAY)


def metered(rows: str, company: Cast) -> Any:
    meter = company.site.meters.first() or company.site.meters.create(name="Main", unit="kgal")
    if rows == "meters":
        return meter
    if rows == "meter-readings":
        return meter.readings.first() or meter.readings.create(read_at=MORNING, value=100)
    if rows == "meter-baselines":
        fit = {"terms": ["net need"], "coefficients": [1.0], "points": [], "figures": FIGURES}
        days = {"first": date(2025, 1, 1), "last": date(2025, 12, 31), "fitted_at": MORNING}
        return meter.baselines.first() or meter.baselines.create(**fit, **days)
    if rows == "non-routine-changes":
        leak = {"kind": "leak", "first": TODAY, "litres_day": 300, "reason": "Gate."}
        return meter.non_routine_changes.first() or meter.non_routine_changes.create(**leak)
    return meter.bills.first() or meter.bills.create(first=company.program.effective, last=TODAY, used=12)
