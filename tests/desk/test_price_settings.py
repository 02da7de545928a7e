"""Prices of water: typed as the bill names them, stored per cubic metre, deleted only where unused."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from desk.sheets.price import PER, price_text
from fleet.models import SettingEdit, Site, Tariff
from tests.cast import Cast, a_site

AT = "/settings/prices/"
TYPED = {"name": "Town water", "price_per_m3": "5.25", "currency": "USD"}


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def opened(web: Client, address: str) -> dict[str, str]:
    sheet = web.get(address).context["sheet"]
    return {one.blank.name: one.text for one in sheet} | {"was": sheet.was}


@pytest.fixture
def price(cast: Cast) -> Tariff:
    return Tariff.objects.create(company=cast.company, name="Town water", price_per_m3="1.3869")


@pytest.mark.parametrize(
    ("per", "stored"),
    # 1,000 US gal are 3.785412 m3, 100 ft3 are 2.831685 m3 (NIST SP 811, appendix B.8)
    [("kgal", "1.3869"), ("ccf", "1.8540"), ("m3", "5.2500")],
)
def test_a_price_is_typed_as_the_bill_names_it(cast: Cast, owner: Client, per, stored):
    assert owner.post(f"{AT}?per={per}", TYPED).status_code == 302
    assert Tariff.objects.get().price_per_m3 == Decimal(stored)
    assert f"5.25 USD per {PER[per].label}" in text(owner.get(AT))


@pytest.mark.parametrize("per", list(PER.values()), ids=list(PER))
def test_what_was_typed_is_what_is_shown(per):
    for cents in range(0, 2000, 7):
        typed = f"{cents / 100:.2f}"
        stored = Decimal(f"{cents / 100 / per.m3:.4f}")
        assert price_text(stored, per) == typed


def test_added_twice_is_there_once(owner: Client, cast: Cast):
    assert [owner.post(AT, TYPED).status_code for _ in range(2)] == [302, 302]
    assert Tariff.objects.count() == SettingEdit.objects.count() == 1
    assert owner.post(AT, {**TYPED, "price_per_m3": "6"}).status_code == 422


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("price_per_m3", "3.2 $/m3"),
        ("price_per_m3", "3,20"),
        ("price_per_m3", "-1"),
        ("price_per_m3", "1e9"),
        ("price_per_m3", "9" * 12),
        ("price_per_m3", ""),
        ("price_per_m3", "٣"),
        ("price_per_m3", "1" * 10_000),
        ("name", ""),
        ("name", "x" * 10_000),
        ("name", "Town\0"),
        ("currency", "dollars"),
        ("currency", "U🌱D"),
    ],
)
def test_what_cannot_be_taken_is_said_by_its_field_and_the_rest_is_kept(
    cast: Cast, owner: Client, field, typed
):
    answer = owner.post(AT, {**TYPED, field: typed})
    assert answer.status_code == 422
    one = {o.blank.name: o for o in answer.context["sheet"]}
    assert [name for name, o in one.items() if o.error] == [field]
    assert one[field].text == typed.replace("\0", "")
    assert not Tariff.objects.exists()


def test_a_change_says_what_it_revalues_and_can_be_taken_back(owner: Client, price: Tariff):
    at = f"{AT}{price.pk}/"
    assert "revalues what was counted before" in text(owner.get(at))
    owner.post(at, {**opened(owner, at), "price_per_m3": "6.00"})
    assert "5.25 per 1,000 gal → 6.00 per 1,000 gal" in text(owner.get(at))
    owner.post(f"/settings/edits/{SettingEdit.objects.get().pk}/take-back/")
    price.refresh_from_db()
    assert price.price_per_m3 == Decimal("1.3869")


def test_a_name_that_is_taken_is_said_by_the_field(cast: Cast, owner: Client, price: Tariff):
    other = Tariff.objects.create(company=cast.company, name="Well", price_per_m3="0.1")
    at = f"{AT}{other.pk}/"
    answer = owner.post(at, {**opened(owner, at), "name": "Town water"})
    assert answer.status_code == 422
    assert "There is one of this name already." in text(answer)


def test_it_is_deleted_only_where_no_site_uses_it(cast: Cast, owner: Client, price: Tariff):
    Site.objects.filter(pk=cast.site.pk).update(tariff=price)
    answer = owner.post(f"{AT}{price.pk}/delete/")
    assert answer.status_code == 422
    assert "Used at Grounds of Larkspur Irrigation" in text(answer)
    Site.objects.update(tariff=None)
    assert owner.post(f"{AT}{price.pk}/delete/").status_code == 302
    assert not Tariff.objects.exists()
    assert SettingEdit.objects.get().what == "deleted"


def test_many_prices_and_sites_cost_as_many_queries_as_few(cast: Cast, owner: Client, price: Tariff):
    def queries(address: str) -> int:
        with CaptureQueriesContext(connection) as seen:
            assert owner.get(address).status_code == 200
        return len(seen)

    owner.get(AT)
    few = [queries(AT), queries(f"{AT}{price.pk}/")]
    for n in range(9):
        Tariff.objects.create(company=cast.company, name=f"Price {n}", price_per_m3="1")
        a_site(cast.client, f"Lot {n}", tariff=price)
    assert [queries(AT), queries(f"{AT}{price.pk}/")] == few
