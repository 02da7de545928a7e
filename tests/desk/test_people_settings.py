"""Who works here: owners change it, the office reads it, the last owner stays."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from fleet.models import Invitation, Membership, SettingEdit
from tests.cast import Cast, worker

AT = "/settings/people/"


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def member(cast: Cast, role: str) -> Membership:
    return Membership.objects.get(company=cast.company, user__email=f"{role}@larkspur.test")


def at(row: Membership) -> str:
    return f"{AT}{row.pk}/"


def test_asking_somebody_makes_a_link_that_only_owners_see(cast: Cast, owner: Client, signed_in):
    answer = owner.post(AT, {"email": " Kim@Larkspur.test ", "role": "technician"}, follow=True)
    assert "kim@larkspur.test" in text(answer)
    assert "/welcome/" in text(answer)
    page = text(signed_in(cast.office).get(AT))
    assert "kim@larkspur.test" in page
    assert "/welcome/" not in page
    assert "Ask somebody to join" not in page


def test_asked_again_the_old_link_is_over(cast: Cast, owner: Client):
    for role in ("technician", "office"):
        owner.post(AT, {"email": "kim@larkspur.test", "role": role})
    old, new = Invitation.objects.order_by("pk")
    assert old.withdrawn_at
    assert not new.withdrawn_at


@pytest.mark.parametrize(
    ("email", "role", "field"),
    [
        ("", "office", "email"),
        ("kim@" + "x" * 60 + ("." + "x" * 60) * 4 + ".test", "office", "email"),
        ("nobody", "office", "email"),
        ("k\0im@larkspur.test", "office", "email"),
        ("k" * 10_000 + "@larkspur.test", "office", "email"),
        ("🌱@larkspur.test", "office", "email"),
        ("كيم@larkspur.test", "office", "email"),
        ("office@larkspur.test", "owner", "email"),
        ("kim@larkspur.test", "king", "role"),
    ],
)
def test_what_cannot_be_taken_is_said_by_its_field(cast: Cast, owner: Client, email, role, field):
    answer = owner.post(AT, {"email": email, "role": role})
    assert answer.status_code == 422
    assert answer.context["error"].field == field
    assert answer.context["typed"]["email"] == email.replace("\0", "")
    assert not Invitation.objects.exists()


def test_a_role_is_changed_and_kept_in_the_list(cast: Cast, owner: Client):
    assert owner.post(at(member(cast, "technician")), {"role": "office"}).status_code == 302
    assert member(cast, "technician").role == "office"
    assert "technician → office" in text(owner.get(AT))
    owner.post(at(member(cast, "technician")), {"role": "office"})
    assert SettingEdit.objects.count() == 1


def test_removing_asks_first(cast: Cast, owner: Client):
    row = member(cast, "technician")
    assert "will see nothing" in text(owner.post(at(row), {"remove": "yes"}))
    assert Membership.objects.filter(pk=row.pk).exists()
    for _ in range(2):
        answer = owner.post(at(row), {"remove": "yes", "confirmed": "yes"})
        assert answer.status_code in (302, 404)
    assert not Membership.objects.filter(pk=row.pk).exists()
    assert SettingEdit.objects.count() == 1


@pytest.mark.parametrize("asked", [{"role": "office"}, {"remove": "yes"}])
def test_the_last_owner_stays(cast: Cast, owner: Client, asked):
    answer = owner.post(at(member(cast, "owner")), {**asked, "confirmed": "yes"})
    assert answer.status_code == 422
    assert "The last owner stays" in text(answer)
    assert member(cast, "owner").role == "owner"


def test_an_owner_who_cannot_sign_in_is_no_owner_to_rely_on(cast: Cast, owner: Client):
    other = worker(cast.company, "owner", "gone.test")
    other.is_active = False
    other.save()
    owner.post(at(member(cast, "owner")), {"role": "office", "confirmed": "yes"})
    assert member(cast, "owner").role == "owner"


def test_nobody_locks_themselves_out_by_accident(cast: Cast, owner: Client):
    worker(cast.company, "owner", "second.test")
    answer = owner.post(at(member(cast, "owner")), {"role": "office"})
    assert answer.status_code == 422
    assert "That is you" in text(answer)
    assert member(cast, "owner").role == "owner"
    owner.post(at(member(cast, "owner")), {"role": "office", "confirmed": "yes"})
    assert member(cast, "owner").role == "office"


@pytest.mark.parametrize("who", ["office", "technician", "client_person"])
def test_nobody_but_an_owner_changes_anything(cast: Cast, signed_in, who):
    web = signed_in(getattr(cast, who))
    row = member(cast, "technician")
    posts = ((AT, {"email": "kim@larkspur.test", "role": "owner"}), (at(row), {"role": "owner"}))
    for address, data in (*posts, (at(row), {"remove": "yes", "confirmed": "yes"})):
        assert web.post(address, data).status_code in (403, 404)
    assert member(cast, "technician").role == "technician"
    assert not Invitation.objects.exists()


def test_many_people_cost_as_many_queries_as_few(cast: Cast, owner: Client):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert owner.get(AT).status_code == 200
        return len(seen)

    owner.post(AT, {"email": "first@larkspur.test", "role": "office"})
    owner.get(AT)
    few = queries()
    for n in range(9):
        worker(cast.company, "technician", f"n{n}.test")
        owner.post(AT, {"email": f"k{n}@larkspur.test", "role": "office"})
    owner.get(AT)
    assert queries() == few
