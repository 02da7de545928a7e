"""Towns and watering rules over REST."""

import pytest

from fleet.models import SettingEdit, Site, Town, WateringRule
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def town(cast: Cast) -> Town:
    town = Town.objects.create(company=cast.company, name="Upper Vale")
    WateringRule.objects.create(company=cast.company, name="two", town=town, stage=2, weekdays="sat")
    Site.objects.filter(pk=cast.site.pk).update(town=town)
    return town


def test_the_stage_is_switched_with_its_effect_as_answer(api, cast: Cast, town: Town):
    api.force_authenticate(cast.office)
    at = f"/api/v1/towns/{town.pk}/stage/"
    said = {"stage": 2, "from": "2026-07-10"}
    shown = api.post(at, {**said, "preview": True}, format="json")
    assert shown.status_code == 200 and not shown.json()["saved"]
    assert Town.objects.get().stage == 0
    answer = api.post(at, said, format="json").json()
    assert answer == shown.json() | {"saved": True}
    assert answer["sites_not_complying"] == answer["programs_not_complying"] == 1
    assert answer["breaches"] == [
        {
            "site": cast.site.pk,
            "controller": cast.controller.pk,
            "program": cast.program.pk,
            "against": ["a day it forbids"],
        }
    ]
    assert SettingEdit.objects.get().by == cast.office
    assert api.get(f"/api/v1/towns/{town.pk}/").json()["stage_from"] == "2026-07-10"


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"stage": 2},
        {"stage": "2", "from": "2026-07-10"},
        {"stage": 2, "from": "2026-07-01"},
        {"stage": 2, "from": "2199-12-31"},
        {"stage": 10, "from": "2026-07-10"},
        {"stage": 3, "from": "2026-07-10"},
        {"stage": 2, "from": "2026-07-10", "sure": True},
        {"stage": 2, "from": None},
    ],
)
def test_a_stage_that_cannot_be_is_refused(api, cast: Cast, town: Town, said):
    api.force_authenticate(cast.office)
    assert api.post(f"/api/v1/towns/{town.pk}/stage/", said, format="json").status_code in (400, 422)
    assert Town.objects.get().stage_from is None


def test_others_neither_see_nor_switch_it(api, cast: Cast, town: Town):
    said = {"stage": 2, "from": "2026-07-10"}
    api.force_authenticate(cast.technician)
    assert api.post(f"/api/v1/towns/{town.pk}/stage/", said, format="json").status_code == 403
    api.force_authenticate(cast.client_person)
    assert api.get("/api/v1/towns/").json()["results"] == []
    assert api.post(f"/api/v1/towns/{town.pk}/stage/", said, format="json").status_code in (403, 404)


def test_a_rule_is_written_read_and_removed(api, cast: Cast, town: Town):
    api.force_authenticate(cast.office)
    said = {"name": "one", "town": town.pk, "stage": 1, "odd_weekdays": "mon thu", "hours_to": "09:00"}
    made = api.post("/api/v1/watering-rules/", said, format="json")
    assert made.status_code == 201 and made.json()["hours_to"] == "09:00:00"
    at, version = f"/api/v1/watering-rules/{made.json()['id']}/", made["ETag"]
    changed = api.patch(at, {"exempt_heads": "drip"}, format="json", headers={"If-Match": version})
    assert changed.status_code == 200 and changed.json()["exempt_heads"] == "drip"
    for wrong in ({"exempt_heads": "hose"}, {"season_from": "13-40"}, {"stage": None}, {"less_percent": 101}):
        kept = {"If-Match": changed["ETag"]}
        assert api.patch(at, wrong, format="json", headers=kept).status_code in (400, 422), wrong
    assert api.delete(at, headers={"If-Match": changed["ETag"]}).status_code == 204
