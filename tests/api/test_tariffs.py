"""Prices of water over REST."""

from decimal import Decimal

from fleet.models import SettingEdit, Tariff
from tests.cast import Cast

AT = "/api/v1/tariffs/"
TIERS = [{"above": "12", "price": "5.95"}, {"above": "0", "price": "2.40"}]


def test_a_tariff_is_written_read_and_removed(api, cast: Cast):
    api.force_authenticate(cast.office)
    said = {"name": "Gardens", "price_per_m3": "2.1", "unit": "ccf", "tiers": TIERS}
    made = api.post(AT, said, format="json")
    assert made.status_code == 201, made.json()
    assert [(t["above"], t["price"]) for t in made.json()["tiers"]] == [("0", "2.4"), ("12", "5.95")]
    one = f"{AT}{made.json()['id']}/"
    version = {"If-Match": made["ETag"]}
    for wrong in (
        {"tiers": TIERS[:1]},
        {"tiers": [{"above": "x", "price": "1"}]},
        {"tiers": "none"},
        {"unit": "pint"},
        {"price_per_m3": "-1"},
        {"tiers": [{**TIERS[1], "cost": 1}]},
    ):
        assert api.patch(one, wrong, format="json", headers=version).status_code in (400, 422), wrong
    changed = api.patch(one, {"fixed_charge": "9.50"}, format="json", headers=version)
    assert changed.status_code == 200 and Tariff.objects.get().fixed_charge == Decimal("9.50")
    assert SettingEdit.objects.filter(topic="price").count() == 2
    assert api.delete(one, headers={"If-Match": changed["ETag"]}).status_code == 204
    assert not Tariff.objects.exists()


def test_technicians_read_and_clients_see_none(api, cast: Cast):
    Tariff.objects.create(company=cast.company, name="Town", price_per_m3="2")
    api.force_authenticate(cast.technician)
    assert api.get(AT).json()["results"][0]["tiers"] == []
    assert api.post(AT, {"name": "Mine", "price_per_m3": "1"}, format="json").status_code == 403
    api.force_authenticate(cast.client_person)
    assert api.get(AT).json()["results"] == []
