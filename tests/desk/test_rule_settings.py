"""Watering rules: where each holds, and which programs it would find against it in the coming nights."""

from datetime import time
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Controller, SettingEdit, Site, WateringRule
from scheduling.models import ZoneRun
from tests.cast import Cast, a_program, a_site, a_zone

AT = "/settings/rules/"


def text(answer: Any) -> str:
    words = " ".join(answer.content.decode().replace("\u00a0", " ").split())
    return words.replace("<b>", "").replace("</b>", "")


def opened(web: Client, address: str) -> dict[str, Any]:
    sheet = web.get(address).context["sheet"]
    fields = {one.blank.name: one.text for one in sheet}
    return {**fields, "weekdays": fields["weekdays"].split(), "was": sheet.was}


@pytest.fixture
def rule(cast: Cast) -> WateringRule:
    """The cast's program waters daily at 04:30 for 12 minutes; the rule lets it."""
    row = WateringRule.objects.create(
        company=cast.company, name="Town", hours_from=time(20), hours_to=time(8)
    )
    Site.objects.filter(pk=cast.site.pk).update(watering_rule=row)
    return row


@pytest.mark.parametrize(
    ("typed", "count", "against"),
    [
        ({}, 0, ""),
        ({"hours_to": "04:42"}, 0, ""),
        ({"hours_to": "04:41"}, 1, "outside its hours"),
        ({"hours_from": "05:00"}, 1, "outside its hours"),
        ({"parity": "odd"}, 1, "a day it forbids"),
        ({"weekdays": ["mon", "thu"]}, 1, "a day it forbids"),
        ({"weekdays": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]}, 0, ""),
        ({"days_per_week": "6"}, 1, "too many days"),
        ({"days_per_week": "7"}, 0, ""),
    ],
)
def test_the_effect_is_counted_on_the_coming_nights_before_anything_is_saved(
    rule: WateringRule, owner: Client, typed, count, against
):
    at = f"{AT}{rule.pk}/"
    answer = owner.post(f"{at}effect/", {**opened(owner, at), **typed})
    assert answer.status_code == 200
    assert f"As typed, {count} would." in text(answer)
    assert against in text(answer)
    assert not SettingEdit.objects.exists()


def test_a_closed_site_waters_against_nothing(cast: Cast, rule: WateringRule, owner: Client):
    Site.objects.filter(pk=cast.site.pk).update(season="closed")
    assert "0 programs run at 0 open sites" in text(owner.get(f"{AT}{rule.pk}/"))


def test_a_rule_is_added_changed_and_taken_back(cast: Cast, owner: Client):
    data = {
        "name": "Upper town", "weekdays": ["fri", "mon"], "parity": "any", "days_per_week": "2",
        "hours_from": "21:00", "hours_to": "07:00", "source": "Town code 4.2",
    }  # fmt: skip
    assert [owner.post(AT, data).status_code for _ in range(2)] == [302, 302]
    row = WateringRule.objects.get()
    assert (row.weekdays, row.days_per_week, row.hours_from) == ("mon fri", 2, time(21))
    at = f"{AT}{row.pk}/"
    owner.post(at, {**opened(owner, at), "hours_to": "06:30"})
    assert "07:00 → 06:30" in text(owner.get(at))
    owner.post(f"/settings/edits/{SettingEdit.objects.first().pk}/take-back/")
    row.refresh_from_db()
    assert row.hours_to == time(7)


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", "x" * 10_000),
        ("source", "x\0"),
        ("parity", "prime"),
        ("days_per_week", "8"),
        ("days_per_week", "two"),
        ("hours_from", "25:00"),
        ("hours_to", "🌱"),
    ],
)
def test_what_cannot_be_taken_is_said_by_its_field(cast: Cast, owner: Client, field, typed):
    answer = owner.post(AT, {"name": "Town", "parity": "any", field: typed})
    assert answer.status_code == 422
    assert [o.blank.name for o in answer.context["sheet"] if o.error] == [field]
    assert not WateringRule.objects.exists()


def test_it_is_deleted_only_where_no_site_is_under_it(cast: Cast, owner: Client, rule: WateringRule):
    assert "Used at Grounds of Larkspur" in text(owner.post(f"{AT}{rule.pk}/delete/"))
    Site.objects.update(watering_rule=None)
    assert owner.post(f"{AT}{rule.pk}/delete/").status_code == 302
    assert not WateringRule.objects.exists()


def test_many_programs_cost_as_many_queries_as_few(cast: Cast, owner: Client, rule: WateringRule):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert owner.get(f"{AT}{rule.pk}/").status_code == 200
        return len(seen)

    owner.get(AT)
    few = queries()
    for n in range(5):
        box = Controller.objects.create(site=a_site(cast.client, f"Lot {n}", watering_rule=rule), name="Box")
        ZoneRun.objects.create(program=a_program(box), zone=a_zone(box), minutes=900)
    assert queries() == few
    assert "As it is saved, 5 water against it" in text(owner.get(f"{AT}{rule.pk}/"))
