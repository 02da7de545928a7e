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


GARDENS = {
    "unit": "ccf",
    "fixed_charge": "12.30",
    "period": "month",
    "tiers_in": "units",
    "budget_factor": "80",
    "tiers-above": ["8", "0", "15", ""],
    "tiers-price": ["3.84", "$2.61", "3.99", ""],
    "tiers-season_from": [""] * 4,
    "tiers-season_to": [""] * 4,
}


def typed(owner: Client, at: str, **other: Any) -> dict[str, Any]:
    """Return what a form posts: what it showed, with a bill in tiers typed over it."""
    shown = {name: text for name, text in opened(owner, at).items() if text}
    return shown | GARDENS | other


def test_tiers_are_typed_in_any_order_and_taken_back(owner: Client, price: Tariff):
    at = f"{AT}{price.pk}/"
    assert owner.post(at, typed(owner, at)).status_code == 302
    price.refresh_from_db()
    assert [(row["above"], row["price"]) for row in price.tiers] == [
        ("0", "2.61"),
        ("8", "3.84"),
        ("15", "3.99"),
    ]
    assert (price.unit, price.fixed_charge) == ("ccf", Decimal("12.30"))
    page = text(owner.get(at))
    # 20 HCF at 8 x 2.61 + 7 x 3.84 + 5 x 3.99 (Glendale CA, 2018), with the fixed charge; a quarter less
    # comes off the top tier: 5 x 3.99
    assert "20 CCF" in page and "$80.01" in page and "$19.95" in page
    assert "Tiers: – → above 0: 2.61; above 8: 3.84; above 15: 3.99" in page
    owner.post(f"/settings/edits/{SettingEdit.objects.latest('pk').pk}/take-back/")
    price.refresh_from_db()
    assert price.tiers == [] and price.unit == "m3"


def test_saving_what_nobody_touched_changes_nothing(owner: Client, price: Tariff):
    at = f"{AT}{price.pk}/"
    owner.post(at, typed(owner, at))
    owner.post(at, {n: t for n, t in opened(owner, at).items() if t})
    assert SettingEdit.objects.count() == 1


def test_an_example_saves_nothing(owner: Client, price: Tariff):
    at = f"{AT}{price.pk}/"
    answer = owner.post(f"{at}example/", typed(owner, at), headers={"HX-Request": "true"})
    assert answer.status_code == 200 and "$80.01" in text(answer)
    assert owner.post(f"{at}example/", typed(owner, at, unit="pints")).status_code == 422
    price.refresh_from_db()
    assert price.tiers == []


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"tiers-above": ["8", "1", "15", ""]}, "The lowest tier begins above 0."),
        ({"tiers-above": ["8", "0", "8", ""]}, "Two tiers begin above 8."),
        ({"tiers-price": ["3,84", "2.61", "3.99", ""]}, "a tier&#x27;s price as a number alone"),
        ({"tiers-price": ["", "2.61", "3.99", ""]}, "a tier&#x27;s price as a number alone"),
        ({"tiers-season_from": ["05-01", "", "", ""]}, "Say both ends of a season, or neither."),
        (
            {"tiers-season_from": ["May"] * 3 + [""], "tiers-season_to": ["July"] * 3 + [""]},
            "Write month and day, such as 05-01.",
        ),
        (
            {"tiers-season_from": ["05-01"] * 3 + [""], "tiers-season_to": ["09-30"] * 3 + [""]},
            "No tier holds on 01-01",
        ),
    ],
)
def test_tiers_that_are_none_are_told_and_kept(owner: Client, price: Tariff, cells, says):
    at = f"{AT}{price.pk}/"
    answer = owner.post(at, typed(owner, at, **cells))
    assert answer.status_code == 422
    assert says in text(answer)
    one = next(o for o in answer.context["sheet"] if o.blank.name == "tiers")
    assert one.error
    shown = [cell for row in one.cells for cell in row]
    assert all(cell.removeprefix("$") in shown for column in cells.values() for cell in column)
    price.refresh_from_db()
    assert price.tiers == []
