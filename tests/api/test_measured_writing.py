"""Catch-can audits, zone tests and stretches not watered by need over REST."""

from typing import Any

import pytest

from tests.api.test_fleet_writing import fields, post, write
from tests.cast import TODAY, Cast

pytestmark = pytest.mark.django_db
CANS = {"minutes": 10, "throat_cm2": 100, "volumes_ml": [20, 22, 18, 25, 15, 20, 21, 19]}


def said(cast: Cast) -> dict[str, dict[str, Any]]:
    on = {"zone": cast.zone.pk, "date": str(TODAY)}
    return {
        "can-audits": {**on, **CANS, "wind_m_s": 1.0, "note": "South half."},
        "zone-tests": {**on, "pressure_kpa": 300, "seen": ["leak"], "note": "Gate."},
        "episodes": {"zone": cast.zone.pk, "kind": "off", "effective_from": str(TODAY)},
    }


def edits() -> dict[str, dict[str, Any]]:
    return {
        "can-audits": {"minutes": 12},
        "zone-tests": {"pressure_kpa": 310},
        "episodes": {"effective_to": str(TODAY)},
    }


@pytest.mark.parametrize("rows", ["can-audits", "zone-tests", "episodes"])
def test_who_works_there_notes_them_and_nobody_else(api, cast: Cast, stranger, rows):
    body = said(cast)[rows]
    answer = post(api, cast.technician, rows, body)
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in body} == body
    assert answer.json()["by"] == cast.technician.pk
    assert post(api, cast.client_person, rows, body).status_code == 403
    assert fields(post(api, stranger, rows, body)) == {"zone"}
    again = post(api, cast.technician, rows, body)
    assert again.json()["id"] == answer.json()["id"]
    edit = edits()[rows]
    edited = write(api, cast.office, "patch", answer["Location"], edit).json()
    assert {name: edited[name] for name in edit} == edit
    assert api.delete(answer["Location"]).status_code == 405


def test_an_audit_answers_what_follows_and_goes_into_the_survey_and_out_again(api, cast: Cast):
    cast.zone.uniformity, cast.zone.basis = 0.7, {"uniformity": "table"}
    cast.zone.save()
    answer = post(api, cast.technician, "can-audits", said(cast)["can-audits"]).json()
    # By hand: 160 mL in 8 cans, mean 20: 600 x 20 / (10 x 100); driest two 15 and 18, driest four 72 / 80.
    assert answer["precipitation_rate_mm_h"] == pytest.approx(12.0)
    assert answer["uniformity"] == pytest.approx(16.5 / 20)
    assert answer["uniformity_of_half"] == pytest.approx(18 / 20)
    assert (answer["cans"], answer["enough_cans"], answer["in_survey"]) == (8, False, False)
    address = f"/api/v1/can-audits/{answer['id']}/"
    assert write(api, cast.office, "patch", address, {"in_survey": True}).json()["in_survey"]
    zone = api.get(f"/api/v1/zones/{cast.zone.pk}/").json()
    assert (zone["precipitation_rate_mm_h"], zone["uniformity"]) == (12.0, 0.825)
    assert zone["basis"] == {"uniformity": "measured", "precipitation_rate_mm_h": "measured"}
    assert write(api, cast.office, "patch", address, {"minutes": 12}).status_code == 409
    assert not write(api, cast.office, "patch", address, {"in_survey": False}).json()["in_survey"]
    zone = api.get(f"/api/v1/zones/{cast.zone.pk}/").json()
    assert (zone["precipitation_rate_mm_h"], zone["uniformity"]) == (None, 0.7)
    assert zone["basis"] == {"uniformity": "table"}


def test_a_flow_is_worked_out_from_a_bucket_or_a_meter(api, cast: Cast):
    on = {"zone": cast.zone.pk, "date": str(TODAY)}
    bucket = post(api, cast.technician, "zone-tests", {**on, "measured": {"volume_l": 20, "seconds": 30}})
    assert bucket.json()["flow_l_min"] == 40.0
    meter = {"before_l": 1000, "after_l": 1030, "seconds": 60}
    edited = write(api, cast.technician, "patch", bucket["Location"], {"measured": meter, "flow_l_min": None})
    assert edited.json()["flow_l_min"] == 30.0
    assert api.get(f"/api/v1/zones/{cast.zone.pk}/").json()["flow_l_min"] == 30.0


@pytest.mark.parametrize(
    ("rows", "wrong", "field"),
    [
        ("can-audits", {"volumes_ml": [1, 2, 3]}, "volumes_ml"),
        ("can-audits", {"volumes_ml": [0, 0, 0, 0]}, "volumes_ml"),
        ("can-audits", {"volumes_ml": ["1", 2, 3, 4]}, "volumes_ml.0"),
        ("can-audits", {"volumes_ml": [-1, 2, 3, 4]}, "volumes_ml.0"),
        ("can-audits", {"minutes": 0}, "minutes"),
        ("can-audits", {"throat_cm2": 1e9}, "throat_cm2"),
        ("can-audits", {"date": "2026-07-07"}, "date"),
        ("zone-tests", {"flow_l_min": -1}, "flow_l_min"),
        ("zone-tests", {"seen": ["all well"]}, "seen.0"),
        ("zone-tests", {"measured": {"seconds": 10}}, "measured"),
        ("zone-tests", {"measured": {"before_l": 9, "after_l": 3, "seconds": 10}}, "after"),
        ("zone-tests", {"date": "2026-07-07"}, "date"),
        ("zone-tests", {"note": "x" * 401}, "note"),
        ("episodes", {"kind": "asleep"}, "kind"),
        ("episodes", {"effective_to": "2026-07-05"}, "effective_to"),
        ("episodes", {"effective_from": "2031-07-05"}, "effective_from"),
        ("episodes", {"runs_a_day": 3}, "run_minutes"),
        ("episodes", {"runs_a_day": 24, "run_minutes": 90}, "run_minutes"),
        ("episodes", {"permit_from": "2026-07-06", "permit_to": "2026-07-05"}, "permit_to"),
        ("episodes", {"kind": "leaching"}, "leaching_share"),
        ("episodes", {"kind": "leaching", "water_ds_m": 9, "soil_ds_m": 2}, "water_ds_m"),
    ],
)
def test_what_can_not_be_is_told_at_its_field(api, cast: Cast, rows, wrong, field):
    found = fields(post(api, cast.technician, rows, said(cast)[rows] | wrong))
    assert {name.split(".")[0] for name in found} == {field.split(".")[0]}


def test_two_stretches_of_a_zone_never_overlap(api, cast: Cast):
    first = said(cast)["episodes"] | {"effective_to": "2026-07-20"}
    assert post(api, cast.technician, "episodes", first).status_code == 201
    for days in (("2026-07-01", "2026-07-06"), ("2026-07-10", "2026-07-12"), ("2026-07-20", None)):
        other = first | {"kind": "overseed", "effective_from": days[0], "effective_to": days[1]}
        assert fields(post(api, cast.technician, "episodes", other)) == {"effective_from"}
    after = first | {"effective_from": "2026-07-21", "effective_to": None}
    assert post(api, cast.technician, "episodes", after).status_code == 201


def test_the_share_to_leach_follows_from_the_salt(api, cast: Cast):
    salty = said(cast)["episodes"] | {"kind": "leaching", "water_ds_m": 1.0, "soil_ds_m": 2.0}
    assert post(api, cast.technician, "episodes", salty).json()["leaching_share"] == pytest.approx(
        1 / 9, abs=1e-4
    )
