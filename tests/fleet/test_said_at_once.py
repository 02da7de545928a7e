"""The same said by two people at the same moment is stored once, and nobody meets an error."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from threading import Barrier
from typing import Any

import pytest
from django.db import connections
from rest_framework.test import APIClient

from common.errors import NotAllowed, Refused
from fleet.models import Client, ClientAccess, Finding, Membership, User, WateringRule
from fleet.services.client_access import add_reader
from fleet.services.edits import change_row
from fleet.services.findings import PARTS, report_finding
from fleet.services.people import change_role, invite, join, token_of
from scheduling.models import FieldEntry
from scheduling.services.field_notes import enter_finding
from tests.cast import TODAY, a_cast, worker

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]
TURNS = 6  # within one test: emptying the database between tests is what takes time


def together(*acts: Callable[[], Any]) -> list[str]:
    """Let everybody act at once, each in a connection of their own; return what each was told, in order."""
    gate = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> str:
        try:
            User.objects.exists()  # the connection is open before anybody starts
            gate.wait(timeout=10)
            act()
        except (NotAllowed, Refused) as error:
            return type(error).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return sorted(pool.map(run, acts))


def test_one_finding_reported_by_four_at_once_is_one(on_the_day):
    cast = a_cast()
    for part in PARTS[:TURNS]:
        said = together(
            *[lambda p=part: report_finding(zone=cast.zone, by=cast.technician, on=TODAY, part=p)] * 4
        )
        assert said == ["done"] * 4
        assert Finding.objects.filter(part=part, status="open").count() == 1


def test_a_form_sent_four_times_at_once_can_be_taken_back_once(on_the_day):
    cast = a_cast()
    for part in PARTS[:TURNS]:
        together(*[lambda p=part: enter_finding(zone=cast.zone, by=cast.technician, on=TODAY, part=p)] * 4)
    logged = FieldEntry.objects.filter(kind=FieldEntry.Kind.FINDING).values_list("row", flat=True)
    assert sorted(Finding.objects.values_list("pk", flat=True)) == sorted(logged)
    assert len(logged) == TURNS


def test_two_parts_found_broken_at_once_are_two_findings(on_the_day):
    cast = a_cast()
    said = together(
        *(
            lambda p=part: report_finding(zone=cast.zone, by=cast.technician, on=TODAY, part=p)
            for part in ("head", "pipe")
        )
    )
    assert said == ["done", "done"]
    assert sorted(Finding.objects.values_list("part", flat=True)) == ["head", "pipe"]


def test_one_new_reader_added_by_four_at_once_is_one_person(on_the_day):
    cast = a_cast()
    for email in (f"new-{n}@thistle.test" for n in range(TURNS)):
        said = together(*[lambda e=email: add_reader(client=cast.client, by=cast.office, email=e)] * 4)
        assert said == ["Refused"] * 3 + ["done"]
        assert User.objects.filter(email=email).count() == 1
        assert ClientAccess.objects.filter(user__email=email).count() == 1


def test_one_new_reader_of_four_clients_at_once_reads_all_four(on_the_day):
    cast = a_cast()
    clients = [Client.objects.create(company=cast.company, name=f"Garden {n}") for n in range(4)]
    for email in (f"new-{n}@thistle.test" for n in range(TURNS)):
        said = together(
            *(lambda c=c, e=email: add_reader(client=c, by=cast.office, email=e) for c in clients)
        )
        assert said == ["done"] * 4
        assert ClientAccess.objects.filter(user=User.objects.get(email=email)).count() == 4


def test_who_is_asked_by_two_companies_joins_both_and_is_one_person(on_the_day):
    companies = a_cast(), a_cast("Second", "second.test")
    for email in (f"kim-{n}@thistle.test" for n in range(TURNS)):
        links = [
            token_of(invite(by=c.owner, company_id=c.company.pk, email=email, role="office"))
            for c in companies
        ]
        said = together(
            *(lambda t=t: join(token=t, person=None, name="Kim", password="a heron at noon") for t in links)
        )
        assert said == ["NotAllowed", "done"]  # the other link still opens, once Kim has signed in
        kim = User.objects.get(email=email)
        other = next(t for t, c in zip(links, companies, strict=True) if not kim.role_in(c.company.pk))
        join(token=other, person=kim)
        assert Membership.objects.filter(user=kim).count() == 2


def test_two_owners_who_demote_each_other_leave_one(on_the_day):
    for turn in range(TURNS):
        cast = a_cast(f"Company {turn}", f"first-{turn}.test")
        second = worker(cast.company, "owner", f"second-{turn}.test")
        first_row, second_row = (Membership.objects.get(user=user) for user in (cast.owner, second))
        said = together(
            partial(change_role, member=second_row, by=cast.owner, role="office"),
            partial(change_role, member=first_row, by=second, role="office"),
        )
        assert said == ["NotAllowed", "done"]
        assert Membership.objects.filter(company=cast.company, role="owner").count() == 1


def test_a_rule_set_right_over_rest_and_on_its_page_at_once_keeps_nobody_waiting(on_the_day):
    """Both hold the company and the rule; held the other way round each would wait for the other."""
    cast = a_cast()
    rule = WateringRule.objects.create(company=cast.company, name="Odd dates")
    api = APIClient()
    api.force_authenticate(cast.owner)
    address = f"/api/v1/watering-rules/{rule.pk}/"

    def over_rest(note: str) -> None:
        etag = api.get(address)["ETag"]
        answer = api.patch(address, {"source": note}, format="json", headers={"If-Match": etag})
        assert answer.status_code in (200, 412)

    def on_its_page(name: str) -> None:
        said = {"name": name, "kind": name}
        change_row(row=rule, by=cast.office, company_id=cast.company.pk, decide=lambda row: said)

    for turn in range(2 * TURNS):
        pages = (partial(on_its_page, f"Name {n}") for n in range(3))
        assert together(partial(over_rest, f"Page {turn}"), *pages) == ["done"] * 4
