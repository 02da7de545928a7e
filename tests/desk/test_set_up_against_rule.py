"""Taking over a site whose programs break its rule: said where they are entered and at the check."""

from datetime import time
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from fleet.models import SetUpDraft, Site, WateringRule
from tests.cast import Cast
from tests.desk.set_up_texts import PLACE, found_texts, say, say_all, start

pytestmark = pytest.mark.django_db
TOLD = "Garage, program A: waters against"


@pytest.fixture
def draft(owner: Browser, cast: Cast) -> SetUpDraft:
    made = start(owner)
    say_all(owner, made)
    return made


def under(owner: Browser, cast: Cast, draft: SetUpDraft, **fields: Any) -> None:
    rule = WateringRule.objects.create(company=cast.company, name="Town summer", **fields)
    say(owner, draft, "place", PLACE | {"watering_rule": str(rule.pk)})


def step(owner: Browser, draft: SetUpDraft, key: str) -> str:
    return owner.get(reverse(f"desk:set-up-{key}", args=[draft.pk])).content.decode()


@pytest.mark.parametrize(
    ("fields", "what"),
    [
        ({"weekdays": "mon thu"}, "a day it forbids"),
        ({"parity": "address"}, "a day it forbids"),  # 12 Elm Street: even dates alone
        ({"hours_from": time(23, 0), "hours_to": time(3, 0)}, "outside its hours"),
        ({"days_per_week": 2}, "too many days"),
    ],
)
def test_what_is_broken_is_said_and_the_site_is_created_all_the_same(
    owner: Browser, cast: Cast, draft: SetUpDraft, fields, what
):
    under(owner, cast, draft, **fields)
    for key in ("found", "check"):
        page = step(owner, draft, key)
        assert f"{TOLD} Town summer" in page
        assert what in page
    say(owner, draft, "access", {"access_from": "", "readers": ""}, do="create")
    assert Site.objects.filter(name="Court").exists()


def test_it_is_said_as_soon_as_it_is_typed(owner: Browser, cast: Cast, draft: SetUpDraft):
    under(owner, cast, draft, weekdays="mon wed fri")
    assert TOLD not in step(owner, draft, "found")
    typed = found_texts() | {"A-days": "Sat"}
    kept = say(owner, draft, "found", typed, do="keep", headers={"HX-Request": "true"})
    assert TOLD in kept.content.decode()


def test_programs_that_keep_the_rule_are_told_nothing(owner: Browser, cast: Cast, draft: SetUpDraft):
    under(owner, cast, draft, weekdays="mon wed fri", hours_from=time(20, 0), hours_to=time(10, 0))
    assert "against" not in step(owner, draft, "check")
