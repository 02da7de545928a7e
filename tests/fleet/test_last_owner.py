"""Two owners in two connections at the same moment: one of them always stays."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connections

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Invitation, Membership, User
from fleet.services.people import change_role, invite, join, remove, token_of
from tests.cast import a_cast, worker

pytestmark = pytest.mark.django_db(transaction=True)


def together(*acts: Callable[[], Any]) -> list[str]:
    gate = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> str:
        try:
            gate.wait(timeout=10)
            act()
        except (NotAllowed, Refused, MovedOn) as error:
            return type(error).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


@pytest.mark.parametrize("turn", range(4))
def test_two_owners_who_remove_each_other_leave_one(on_the_day, turn):
    cast = a_cast()
    second = worker(cast.company, "owner", "second.test")
    first_row, second_row = (Membership.objects.get(user=user) for user in (cast.owner, second))
    said = together(
        lambda: remove(member=second_row, by=cast.owner, confirmed=True),
        lambda: change_role(member=first_row, by=second, role="office", confirmed=True),
    )
    assert sorted(said) == ["NotAllowed", "done"]
    assert Membership.objects.filter(role="owner").count() == 1


@pytest.mark.parametrize("turn", range(4))
def test_two_owners_who_both_step_down_leave_one(on_the_day, turn):
    cast = a_cast()
    second = worker(cast.company, "owner", "second.test")
    rows = [(Membership.objects.get(user=user), user) for user in (cast.owner, second)]
    said = together(
        *(
            lambda row=row, user=user: change_role(member=row, by=user, role="technician", confirmed=True)
            for row, user in rows
        )
    )
    assert sorted(said) == ["Refused", "done"]
    assert Membership.objects.filter(role="owner").count() == 1


def test_a_link_used_twice_at_once_lets_one_in(on_the_day):
    cast = a_cast()
    asked = invite(by=cast.owner, company_id=cast.company.pk, email="kim@larkspur.test", role="office")
    token = token_of(asked)
    said = together(
        *(
            lambda n=n: join(token=token, person=None, name=f"Kim {n}", password="a heron at noon")
            for n in range(3)
        )
    )
    assert sorted(said) == ["MovedOn", "MovedOn", "done"]
    assert User.objects.filter(email="kim@larkspur.test").count() == 1
    assert Invitation.objects.get().used_at
