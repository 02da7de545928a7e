"""Kinds of zones under How we work: the usual ones to begin with, then the company's own."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from fleet.models import ZonePreset
from fleet.numerics.kinds import KINDS
from tests.cast import Cast

pytestmark = pytest.mark.django_db
BED = {
    "name": "Rose bed", "plant": "flowers", "head": "drip", "soil": "clay_loam", "sun": "full",
    "slope_percent": "2", "root_depth_mm": "12", "precipitation_rate_mm_h": "", "uniformity": "85",
    "wetted_share": "60", "was": "{}",
}  # fmt: skip


def test_the_usual_kinds_come_once(owner: Browser, cast: Cast):
    assert "No kinds yet." in owner.get(reverse("desk:settings-kinds")).content.decode()
    for _ in range(2):
        owner.post(reverse("desk:settings-usual-kinds"))
    assert ZonePreset.objects.filter(company=cast.company).count() == len(KINDS)


def test_every_usual_kind_is_a_zone_that_can_be():
    for kind in KINDS:
        ZonePreset(company_id=1, **vars_of(kind)).clean_fields(exclude=["company"])


def vars_of(kind):
    return {name: getattr(kind, name) for name in kind.__slots__}


def test_a_kind_of_ones_own_is_added_changed_and_deleted(owner: Browser, cast: Cast):
    assert owner.post(reverse("desk:settings-kinds"), BED).status_code == 302
    bed = ZonePreset.objects.get(name="Rose bed")
    assert (bed.root_depth_mm, bed.uniformity, bed.wetted_share) == (304.8, 0.85, 0.6)
    assert bed.as_zone()["precipitation_rate_mm_h"] == 15.24  # the table's for drip, 0.6 in/h
    page = reverse("desk:settings-kind", args=[bed.pk])
    was = owner.get(page).context["sheet"].was
    assert owner.post(page, BED | {"soil": "sand", "was": was}).status_code == 302
    bed.refresh_from_db()
    assert bed.soil == "sand"
    assert owner.post(page, BED | {"soil": "clay", "slope_percent": "", "was": was}).status_code == 422
    stale = owner.post(page, BED | {"soil": "clay", "was": was})
    assert stale.status_code == 409
    assert owner.post(reverse("desk:settings-drop-kind", args=[bed.pk])).status_code == 302
    assert not ZonePreset.objects.filter(name="Rose bed").exists()


def test_technicians_are_told_who_keeps_them(technician: Browser):
    assert technician.get(reverse("desk:settings-kinds")).status_code == 403


@pytest.mark.parametrize(
    "word", ["x" * 10_000, "NaN", "inf", "\0", "🌱", "-5"], ids=lambda word: ascii(word[:6])
)
def test_what_cannot_be_is_told_by_the_field(owner: Browser, word: str):
    assert owner.post(reverse("desk:settings-kinds"), dict.fromkeys(BED, word)).status_code == 422
