"""Advice on the invented fleet: its hard cases are found, twice changes nothing, pages and API list it."""

import pytest
from django.core.management import call_command

from scheduling.models import Advice
from scheduling.services.advising import advise, open_sites

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # long, and as good on one database


def lines() -> list[tuple]:
    return sorted(Advice.objects.values_list("controller", "key", "words", "litres_week", "litres_year"))


def test_the_hard_cases_are_found(demo):
    call_command("advise")
    said = {
        (row.kind, row.controller.site.name): row.words
        for row in Advice.objects.select_related("controller__site")
    }
    assert "shrubs" in said["unlike zones", "Whitlow"]
    assert "outside its hours" in said["outside the rule", "Tule Bend West"]
    assert ("too few days", "Wagtail School") in said
    assert ("uneven heads", "Church and Hall") in said
    assert not Advice.objects.filter(controller__site__season="closed").exists()


def test_twice_changes_nothing(demo):
    advise(open_sites())
    first = lines()
    advise(open_sites())
    assert lines() == first
