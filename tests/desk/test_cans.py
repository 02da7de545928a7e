"""Catch cans on a page: typed one after another, told at once, taken into the survey and out again."""

import re
from typing import Any

import pytest
from django.test import Client

from fleet.models import CanAudit, Zone
from tests.cast import TODAY, Cast

pytestmark = pytest.mark.django_db
# NC State University, R package spreval: 49.62 % and 71.58 % of the quarter and the half.
SPREVAL = "47 42 45 24 13 26 33 34 27 30 40 44 32 12 12"


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def said(**typed: str) -> dict[str, str]:
    return {"volumes_ml": SPREVAL, "minutes": "10", "throat_cm2": "16.5", "wind_m_s": "3"} | typed


def us(cast: Cast) -> Zone:
    cast.company.units = "us"
    cast.company.save()
    cast.zone.uniformity, cast.zone.basis, cast.zone.head = 0.7, {"uniformity": "table"}, "rotor"
    cast.zone.save()
    return cast.zone


def test_what_is_typed_is_told_at_once_and_stored_nowhere(cast: Cast, technician: Client):
    zone = us(cast)
    told = text(technician.post(f"/zones/{zone.pk}/cans/live/", said()))
    assert "50 %" in told
    assert "72 %" in told
    # 3.66 x 30.73 mL / (10 min x 16.5 in2), worksheets of the Irrigation Association
    assert "0.68 in/h" in told
    assert "15 cans are few: 24 make a sound audit" in told
    assert not CanAudit.objects.exists()


def test_cans_are_added_one_by_one_without_a_script(cast: Cast, technician: Client):
    zone = us(cast)
    page = technician.post(f"/zones/{zone.pk}/cans/", said(volumes_ml="20 21", next="19.5", add="yes"))
    assert page.status_code == 200
    assert "20 21 19.5</textarea>" in text(page)
    assert "Type at least 4 cans; these are 3." in text(page)


def test_an_audit_is_kept_once_and_goes_into_the_survey_and_out(cast: Cast, technician: Client):
    zone = us(cast)
    for _ in range(2):
        assert technician.post(f"/zones/{zone.pk}/cans/", said(note="Calm.")).status_code == 302
    audit = CanAudit.objects.get()
    assert (audit.date, audit.by, audit.minutes) == (TODAY, cast.technician, 10)
    technician.post(f"/cans/{audit.pk}/use/")
    zone.refresh_from_db()
    assert zone.uniformity == pytest.approx(0.4962, abs=5e-5)
    assert zone.basis == {"uniformity": "measured", "precipitation_rate_mm_h": "measured"}
    assert "in the survey" in text(technician.get(f"/zones/{zone.pk}/cans/"))
    technician.post(f"/cans/{audit.pk}/put-back/")
    zone.refresh_from_db()
    assert (zone.uniformity, zone.precipitation_rate_mm_h, zone.basis) == (0.7, None, {"uniformity": "table"})


def test_a_survey_changed_since_is_not_put_back(cast: Cast, technician: Client):
    zone = us(cast)
    technician.post(f"/zones/{zone.pk}/cans/", said())
    audit = CanAudit.objects.get()
    technician.post(f"/cans/{audit.pk}/use/")
    Zone.objects.filter(pk=zone.pk).update(uniformity=0.6)
    answer = technician.post(f"/cans/{audit.pk}/put-back/")
    assert answer.status_code == 409
    assert "changed again since" in text(answer)
    assert Zone.objects.get(pk=zone.pk).uniformity == 0.6


def test_wind_and_small_catches_are_doubted(cast: Cast, technician: Client):
    zone = us(cast)
    told = text(technician.post(f"/zones/{zone.pk}/cans/live/", said(wind_m_s="8", volumes_ml="5 6 7 8")))
    assert "Too much wind: audit at 5 mph or less" in told
    assert "some 25 mL read truer" in told  # 1.5 mL x 16.5 in2


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"volumes_ml": "1 2 x 4"}, "Can 3: x isn&#x27;t a number."),
        ({"volumes_ml": "1 2 3"}, "Type at least 4 cans"),
        ({"volumes_ml": "0 0 0 0"}, "No can caught anything"),
        ({"volumes_ml": "1 nan inf 4"}, "Can 2: nan"),
        ({"volumes_ml": "1 " * 201}, "200 cans at the most"),
        ({"volumes_ml": "9" * 10_000}, "2,000 characters at the most"),
        ({"volumes_ml": "1 2 3 \u0000"}, "can&#x27;t be kept"),
        ({"volumes_ml": "٣ 2 3 4"}, "Can 1"),
        ({"minutes": ""}, "This can&#x27;t be empty"),
        ({"minutes": "1e9"}, "Type a number alone"),
        ({"throat_cm2": "0"}, "0.78 to 775 in²"),
        ({"wind_m_s": "-1"}, "0 to 89.5 mph"),
        ({"note": "🌱" * 201}, "200 characters at the most"),
    ],
)
def test_what_can_not_be_is_told_by_its_field_and_nothing_is_lost(
    cast: Cast, technician: Client, typed: dict[str, str], words: str
):
    zone = us(cast)
    answer = technician.post(f"/zones/{zone.pk}/cans/", said(**{"note": "Kept.", **typed}))
    assert answer.status_code == 422
    assert words in text(answer)
    assert 'value="10"' in text(answer) or "minutes" in typed
    assert not CanAudit.objects.exists()
    assert technician.post(f"/zones/{zone.pk}/cans/live/", said(**typed)).status_code == 200


def test_a_flood_from_the_cans_is_refused_by_the_survey(cast: Cast, technician: Client):
    zone = us(cast)
    technician.post(f"/zones/{zone.pk}/cans/", said(volumes_ml="4000 4000 4000 4000", minutes="1"))
    audit = CanAudit.objects.get()
    answer = technician.post(f"/cans/{audit.pk}/use/")
    assert answer.status_code == 422
    assert re.search("less than or equal to 500", text(answer))
