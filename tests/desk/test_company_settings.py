"""The company's name, units and contact lines."""

from typing import Any

import pytest
from django.test import Client

from fleet.models import Company, SettingEdit
from tests.cast import Cast

AT = "/settings/company/"


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def opened(web: Client) -> dict[str, str]:
    sheet = web.get(AT).context["sheet"]
    return {one.blank.name: one.text for one in sheet} | {"was": sheet.was}


def test_contact_lines_are_kept(cast: Cast, owner: Client):
    typed = {
        "contact_name": "Rosa Fennimore",
        "phone": "+1 555 0100",
        "email": "office@larkspur.test",
        "postal_address": "4 Mill Lane\nUnit 2",
    }
    assert owner.post(AT, {**opened(owner), **typed}).status_code == 302
    row = Company.objects.get(pk=cast.company.pk)
    assert {name: getattr(row, name) for name in typed} == typed
    assert "4 Mill Lane" in text(owner.get(AT))


def test_units_change_what_every_page_shows(cast: Cast, owner: Client):
    assert "2,170 gal a week" in text(owner.get(AT))
    assert "8.2 m³ a week" in text(owner.get(AT))
    owner.post(AT, {**opened(owner), "units": "metric"})
    assert "US customary → Metric" in text(owner.get(AT))
    assert "L a week" in text(owner.get("/settings/decisions/"))


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", "N" * 10_000),
        ("name", "Lark\0spur"),
        ("units", "furlongs"),
        ("email", "nobody"),
        ("email", "a@b@c.test"),
        ("phone", "1" * 41),
        ("postal_address", "x" * 10_000),
    ],
)
def test_what_cannot_be_taken_is_said_by_its_field_and_the_rest_is_kept(
    cast: Cast, owner: Client, field, typed
):
    answer = owner.post(AT, {**opened(owner), "contact_name": "Rosa", field: typed})
    assert answer.status_code == 422
    one = {o.blank.name: o for o in answer.context["sheet"]}
    assert [name for name, o in one.items() if o.error] == [field]
    assert one["contact_name"].text == "Rosa"
    assert one[field].text == typed.replace("\0", "")
    assert not SettingEdit.objects.exists()


@pytest.mark.parametrize("name", ["Larkspur 🌱 Irrigation", "مياه الوادي", "<b>Bold & Sons</b>"])
def test_any_script_is_a_name(cast: Cast, owner: Client, name):
    owner.post(AT, {**opened(owner), "name": name})
    assert Company.objects.get(pk=cast.company.pk).name == name
    assert "<b>Bold" not in text(owner.get(AT))


def test_the_front_says_what_is_set(cast: Cast, owner: Client):
    page = text(owner.get("/settings/"))
    assert "Larkspur Irrigation; US customary" in page
    assert "always asked" in page
