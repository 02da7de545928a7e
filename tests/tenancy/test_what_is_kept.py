"""No model that people edit is left without a history, and no write goes past it unnoticed."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps

from config.settings import BASE_DIR
from fleet.admin.kept import KeptAdmin
from fleet.history import Earlier
from fleet.tenancy import TenantModel
from tests.tenancy.test_every_model import EVERY

# Rows the service writes by itself, or that are a history already.
NOT_EDITED = {
    "Advice": "is computed again at any time, and says who put it aside",
    "Change": "has its events",
    "ChangeEvent": "is only ever added",
    "Delivery": "follows its change",
    "FieldEntry": "says itself what a row was before, and when it was taken back",
    "Invitation": "is used or withdrawn once, and says when",
    "KeptAnswer": "is kept for a day and forgotten",
    "Letter": "says itself when it was claimed, sent and decided on, and by whom",
    "LetterFile": "is what a letter took along, and stays so",
    "MeterFile": "is what somebody brought along until it is taken or forgotten",
    "UseAlert": "is found by the night, and says who put it aside and why",
    "MeterBaseline": "is evidence: another fit takes its place, none is changed",
    "MeterMonth": "is computed again at any time",
    "MeterHour": "comes from a meter's interface, by the million",
    "NightlyRunCompany": "is written by the night",
    "ProgramMonth": "is computed again at any time",
    "SiteMonth": "is computed again at any time",
    "SettingEdit": "is only ever added",
    "SummaryLetter": "is written once, with the letter",
    "SummaryPaper": "is what was sent, and stays so",
    "SetUpDraft": "is what somebody is writing; what comes of it has its history",
}
EDITED: list[type[Any]] = [m for m in EVERY if issubclass(m, TenantModel) and m.__name__ not in NOT_EDITED]
EDITED += [apps.get_model("fleet.User")]

# Writes in bulk that go past the history, each with its reason.
IN_BULK = {
    ("reports/services/summaries.py", "Summary"): "the figures of drafts, made anew each time",
    ("scheduling/services/nightly.py", "Site"): "the day the account starts, set by the first night",
    ("scheduling/services/night_weather.py", "Site"): "the piece of the map, set by the first night",
    ("scheduling/services/stages.py", "ZoneCut"): "hundreds with one switch of a stage, which is kept itself",
}
LOADS_THE_DEMO = "scheduling/demo/"
WRITES = {"update", "bulk_create", "bulk_update"}


@pytest.mark.parametrize("model", EDITED, ids=lambda m: m.__name__)
def test_a_model_that_people_edit_keeps_its_history(model):
    assert hasattr(model, "history") and issubclass(model.history.model, Earlier), (
        f"{model.__name__} has no history. Write `history = Kept()` (fleet/history.py) in the model, run "
        "makemigrations, and make its admin a KeptAdmin (fleet/admin/kept.py); or, if only the service "
        "writes it, list it in NOT_EDITED here with the reason."
    )


@pytest.mark.parametrize("model", EDITED, ids=lambda m: m.__name__)
def test_its_history_is_read_in_the_back_office(model):
    from django.contrib import admin

    assert isinstance(admin.site._registry.get(model), KeptAdmin), (
        f"Register {model.__name__} in its app's admin as a KeptAdmin (fleet/admin/kept.py)."
    )


def test_no_reason_outlives_its_model():
    assert set(NOT_EDITED) <= {m.__name__ for m in EVERY}


def sources() -> Iterator[tuple[str, ast.Module]]:
    for app in ("desk", "reports", "scheduling", "fleet", "weather", "config"):
        for file in sorted((BASE_DIR / app).rglob("*.py")):
            name = str(Path(file).relative_to(BASE_DIR))
            if "/migrations/" not in name:
                yield name, ast.parse(file.read_text())


def begins_with(node: ast.expr) -> str:
    """Return the name a chain of calls and attributes begins with, if it goes through ``.objects``."""
    through = False
    while isinstance(node, ast.Call | ast.Attribute):
        if isinstance(node, ast.Attribute):
            through = through or node.attr == "objects"
            node = node.value
        else:
            node = node.func
    return node.id if through and isinstance(node, ast.Name) else ""


def in_bulk(tree: ast.Module) -> Iterator[str]:
    """Return the models that a file writes with one statement, which no history sees."""
    names = {m.__name__ for m in EDITED}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WRITES:
            model = begins_with(node.func.value)
            if model in names:
                yield model


def test_nobody_writes_past_the_history():
    found = {(name, model) for name, tree in sources() for model in in_bulk(tree)}
    unlisted = {(name, model) for name, model in found - set(IN_BULK) if not name.startswith(LOADS_THE_DEMO)}
    assert unlisted == set(), (
        "update(), bulk_create() and bulk_update() leave no history. Save the rows one by one, or use "
        "bulk_create_with_history and bulk_update_with_history of simple_history.utils; or list the place "
        "in IN_BULK with the reason."
    )
    assert set(IN_BULK) <= found, "A reason here has outlived its code."


def test_only_the_back_office_reads_what_rows_were():
    readers = {
        name
        for name, tree in sources()
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr == "history"
    }
    # The second reads nothing of a row but the number of the newest, to see whether anything changed.
    allowed = {"fleet/admin/kept.py", "scheduling/selectors/remembered.py"}
    assert readers <= allowed, "Pages, endpoints and services never read `.history`."
