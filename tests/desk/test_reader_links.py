"""Whoever is new and may read a client gets in by a link, once; nobody else gets into their account by it."""

import re
from typing import Any

import pytest
from django.test import Client

from common.errors import Refused
from fleet.models import Client as Client_
from fleet.models import ClientAccess, Company, Invitation, Membership, User
from fleet.services.client_access import add_reader
from fleet.services.people import invite, token_of
from tests.cast import Cast

pytestmark = pytest.mark.django_db
EMAIL = "edda@place.test"
FORM = {"name": "Edda Marsh", "password": "a heron at noon", "again": "a heron at noon"}


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").replace("&#x27;", "'").split())


def added(cast: Cast, web: Client, email: str = EMAIL, **more: str) -> str:
    """Add a reader on the client's page; return the link that is shown there."""
    answer = web.post(
        f"/clients/{cast.client.pk}/people/", {"email": email, "name": "Edda", **more}, follow=True
    )
    found = re.findall(r'value="http://testserver(/welcome/[^"]+)"', text(answer))
    assert len(found) == 1
    return str(found[0])


def test_a_new_reader_chooses_a_password_by_the_link_and_reads(cast: Cast, owner: Client, client: Client):
    link = added(cast, owner)
    page = text(client.get(link))
    assert "opens its pages to you" in page
    assert "Set the password" in page
    answer = client.post(link, FORM, follow=True)
    assert f"you sign in here to read {cast.client}" in text(answer)
    assert client.get(f"/sites/{cast.site.pk}/").status_code == 200
    user = User.objects.get(email=EMAIL)
    assert (user.check_password(FORM["password"]), user.name) == (True, "Edda Marsh")
    assert not Membership.objects.filter(user=user).exists()
    assert Client().post(link, FORM).status_code == 404
    assert "/welcome/" not in text(owner.get(f"/clients/{cast.client.pk}/"))


def test_the_office_makes_a_new_link_and_the_old_one_opens_nothing(cast: Cast, signed_in, client: Client):
    office = signed_in(cast.office)
    first = added(cast, office)
    assert office.post(f"/clients/{cast.client.pk}/people/", {"email": EMAIL}).status_code == 422
    second = added(cast, office, again="yes")
    assert first != second
    assert client.get(first).status_code == 404
    assert client.get(second).status_code == 200
    assert ClientAccess.objects.filter(user__email=EMAIL).count() == 1


def test_a_technician_sees_no_link(cast: Cast, owner: Client, technician: Client):
    added(cast, owner)
    assert "/welcome/" not in text(technician.get(f"/clients/{cast.client.pk}/"))


@pytest.mark.parametrize("post", [False, True])
def test_whoever_made_a_link_cannot_use_it_and_is_told(cast: Cast, owner: Client, post: bool):
    for_reader = added(cast, owner)
    row = invite(by=cast.owner, company_id=cast.company.pk, email="kim@larkspur.test", role="office")
    for link, email in ((for_reader, EMAIL), (f"/welcome/{token_of(row)}/", row.email)):
        answer = owner.post(link, FORM) if post else owner.get(link)
        assert answer.status_code == (403 if post else 200)
        assert f"You made this link. Hand it to {email}: whoever makes a link can't use it." in text(answer)
    assert Invitation.objects.filter(used_at=None, withdrawn_at=None).count() == 2


def test_who_signs_in_already_gets_no_link(cast: Cast, owner: Client, stranger: User):
    answer = owner.post(f"/clients/{cast.client.pk}/people/", {"email": stranger.email}, follow=True)
    assert "signs in as before" in text(answer)
    assert "/welcome/" not in text(answer)


class TestAnotherCompany:
    @pytest.fixture
    def theirs(self) -> Client_:
        return Client_.objects.create(company=Company.objects.create(name="Quillback"), name="Theirs")

    def test_an_account_nobody_held_is_opened_by_the_first_company_alone(
        self, cast: Cast, owner: Client, theirs: Client_
    ):
        boss = User.objects.create_user("boss@quillback.test", "a heron at noon")
        Membership.objects.create(user=boss, company=theirs.company, role="owner")
        added(cast, owner)
        with pytest.raises(Refused, match="sign in once"):
            add_reader(client=theirs, by=boss, email=EMAIL)
        assert ClientAccess.objects.filter(user__email=EMAIL).count() == 1

    def test_a_link_opens_no_account_that_reads_elsewhere_by_now(
        self, cast: Cast, owner: Client, client: Client, theirs: Client_
    ):
        link = added(cast, owner)
        ClientAccess.objects.create(user=User.objects.get(email=EMAIL), client=theirs)
        assert client.post(link, FORM).status_code == 403
        assert not User.objects.get(email=EMAIL).has_usable_password()


def test_a_reader_who_never_signed_in_can_be_asked_to_work_here(cast: Cast, owner: Client, client: Client):
    added(cast, owner)
    row = invite(by=cast.owner, company_id=cast.company.pk, email=EMAIL, role="technician")
    assert client.post(f"/welcome/{token_of(row)}/", FORM).status_code == 302
    assert Membership.objects.get(user__email=EMAIL).role == "technician"


def test_a_removed_readers_link_opens_nothing(cast: Cast, owner: Client, client: Client):
    link = added(cast, owner)
    access = ClientAccess.objects.get(user__email=EMAIL)
    owner.post(f"/clients/{cast.client.pk}/people/{access.pk}/")
    assert client.get(link).status_code == 404
