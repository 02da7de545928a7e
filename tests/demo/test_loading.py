"""Loading the demo: once, and the same every time."""

from collections import Counter

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import models

from fleet.models import Company, User, Zone
from scheduling.demo import loading
from scheduling.models import NightlyRun
from scheduling.services.nightly import run_nights

# Differ from one load to the next by their nature: keys, the moment of writing, salted hashes.
UNLIKE = {"id", "history_id", "history_date", "created_at", "fetched_at", "password", "inputs"}
UNLIKE_OF = {"Photo": {"key"}, "HistoricalPhoto": {"key", "at"}}  # drawn anew; as it was first written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def everything() -> dict[str, Counter[str]]:
    """Return the values of all rows but keys and the like, by model."""
    found = {}
    for app in ("fleet", "scheduling", "weather"):
        for model in apps.get_app_config(app).get_models():
            plain = [
                field.name
                for field in model._meta.concrete_fields
                if field.name not in UNLIKE | UNLIKE_OF.get(model.__name__, set())
                and not isinstance(field, models.ForeignKey)
            ]
            rows = model._default_manager.values_list(*plain) if plain else []
            found[model.__name__] = Counter(map(repr, rows))
    return found


def test_a_second_call_changes_nothing_and_says_so(capsys):
    before = everything()

    call_command("load_demo")

    assert "nothing was changed" in capsys.readouterr().out
    assert everything() == before


def test_fresh_gives_the_same_rows_again_whatever_happened_to_them():
    before = everything()
    Zone.objects.update(name="scribbled over")
    run_nights()

    call_command("load_demo", "--fresh")

    assert everything() == before
    assert not NightlyRun.objects.exists()


def test_a_company_beside_the_demo_s_keeps_both_from_being_removed():
    Company.objects.create(name="Nearby Irrigation")

    with pytest.raises(CommandError):
        call_command("load_demo", "--fresh")
    assert Zone.objects.count() == 320


def test_people_of_the_back_office_stay_when_the_demo_goes():
    User.objects.create_superuser("root@nearby.example", "a long password")

    loading.remove()

    assert [user.email for user in User.objects.all()] == ["root@nearby.example"]
    assert loading.state() == loading.EMPTY
