"""Two people in two connections at the same moment: one wins, the other is told, nothing is lost."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connections

from common.errors import MovedOn
from scheduling.models import Change, ChangeEvent, Delivery, Setting
from scheduling.services.decisions import approve, decline, undo
from scheduling.services.entering import apply
from tests.cast import TODAY, a_cast

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def company(on_the_day):
    return a_cast()


def together(*acts: Callable[[Change], Any], pk: int) -> list[str]:
    """Let everybody read the change, then act at once; return each outcome, a conflict by its status."""
    gate = Barrier(len(acts))

    def run(act: Callable[[Change], Any]) -> str:
        try:
            change = Change.objects.select_related("program__controller__site__client").get(pk=pk)
            gate.wait(timeout=10)
            act(change)
        except MovedOn as conflict:
            return f"told {conflict.current_status}"
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


@pytest.mark.parametrize("turn", range(5))
def test_of_six_who_decide_at_once_one_wins(company, turn):
    said = together(
        *[lambda c: approve(change=c, by=company.office, value=90)] * 3,
        *[lambda c: decline(change=c, by=company.owner, note="No.")] * 3,
        pk=company.change.pk,
    )
    change = Change.objects.get(pk=company.change.pk)
    assert sorted(said) == ["done"] + [f"told {change.status}"] * 5
    assert ChangeEvent.objects.get().to_status == change.status
    assert Delivery.objects.count() == (change.status == "approved")


@pytest.mark.parametrize("turn", range(5))
def test_entered_and_taken_back_at_once_is_one_or_the_other(company, turn):
    approve(change=company.change, by=company.office)
    said = together(
        lambda c: apply(change=c, by=company.technician),
        lambda c: undo(change=c, by=company.office),
        pk=company.change.pk,
    )
    change = Change.objects.get(pk=company.change.pk)
    if said == ["done", "told applied"]:
        assert change.status == "applied"
        assert Setting.objects.get().effective_from == TODAY
        assert Delivery.objects.get().state == "done"
    else:
        assert said == ["told pending", "done"]
        assert change.status == "pending"
        assert not Setting.objects.exists()
        assert Delivery.objects.get().state == "withdrawn"
    assert ChangeEvent.objects.count() == 2
