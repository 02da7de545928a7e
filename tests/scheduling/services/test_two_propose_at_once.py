"""Two people click at the same moment, in connections of their own: there is one change."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connections

from common.errors import MovedOn
from scheduling.models import Advice, Change, ChangeEvent
from scheduling.services.programs import edit_program
from scheduling.services.proposing import propose
from tests.night.garden import ON, Garden
from tests.scheduling.services import altered

pytestmark = pytest.mark.django_db(transaction=True)


def together(*acts: Callable[[], str]) -> list[str]:
    gate = Barrier(len(acts))

    def run(act: Callable[[], str]) -> str:
        try:
            gate.wait(timeout=10)
            return act()
        except MovedOn as conflict:
            return f"told {conflict.current_status}"
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return sorted(pool.map(run, acts))


def clicked(line: Advice, of: Garden) -> Callable[[], str]:
    def click() -> str:
        found = propose(advice=Advice.objects.get(pk=line.pk), by=of.owner)
        return "new" if found.new else f"again {found.change.pk}"

    return click


@pytest.mark.parametrize("turn", range(3))
def test_four_clicks_on_one_line_are_one_change(settings, turn):
    heron = altered.heron(settings)
    line = altered.dry_between(heron)
    said = together(*[clicked(line, heron)] * 4)
    change = Change.objects.get(kind="days")
    assert said == [f"again {change.pk}"] * 3 + ["new"]
    assert ChangeEvent.objects.filter(change=change).count() == 1
    line.refresh_from_db()
    assert line.change == change


@pytest.mark.parametrize("turn", range(3))
def test_two_lines_about_one_program_are_one_change_and_a_word(settings, turn):
    heron = altered.heron(settings)
    days, minutes = altered.dry_between(heron), altered.on_clay(heron)
    assert together(clicked(days, heron), clicked(minutes, heron)) == ["new", "told waiting"]
    assert Change.objects.count() == 1


@pytest.mark.parametrize("turn", range(3))
def test_an_edit_at_the_same_moment_leaves_nothing_stale_behind(settings, turn):
    heron = altered.heron(settings)
    line = altered.dry_between(heron)

    def edit() -> str:
        edit_program(program=heron.program, by=heron.owner, effective=ON, days="mon wed fri sat sun")
        return "edited"

    together(clicked(line, heron), edit)
    pending = Change.objects.filter(status="pending")
    assert not pending.exists() or pending.get().altered.programs[0].before.days == "mon wed fri sat sun"
