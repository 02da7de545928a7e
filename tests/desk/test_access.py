"""What isn't yours is not there: 404 for strangers and clients, 403 for what a role doesn't include."""

import pytest
from django.test import Client

from fleet.models import ClientAccess, Company, Letter, Membership, User
from scheduling.models import Change
from tests.cast import Cast

STAFF_PAGES = ("/week/", "/sites/", "/nights/", "/nights/{run}/", "/changes/{change}/")
POSTS = tuple(f"/changes/{{change}}/{action}/" for action in ("approve", "decline", "undo", "enter"))


def at(cast: Cast, address: str) -> str:
    return address.format(run=cast.run.pk, change=cast.change.pk, site=cast.site.pk)


def unchanged(cast: Cast) -> bool:
    return Change.objects.get(pk=cast.change.pk).status == "pending"


@pytest.mark.parametrize("address", ["/", "/sites/{site}/", *STAFF_PAGES])
def test_whoever_is_not_signed_in_is_asked_to(cast: Cast, client: Client, address):
    assert client.get(at(cast, address))["Location"].startswith("/sign-in/?next=")


@pytest.mark.parametrize("address", ["/sites/{site}/", "/nights/{run}/", "/changes/{change}/"])
def test_a_stranger_is_told_there_is_nothing(cast: Cast, stranger: User, signed_in, address):
    assert signed_in(stranger).get(at(cast, address)).status_code == 404


@pytest.mark.parametrize("address", POSTS)
def test_a_stranger_can_decide_nothing(cast: Cast, stranger: User, signed_in, address):
    answer = signed_in(stranger).post(at(cast, address), {"note": "mine now"})
    assert answer.status_code == 404
    assert unchanged(cast)


@pytest.mark.parametrize("action", ["approve", "decline", "undo", "enter"])
def test_a_stranger_can_decide_nothing_in_a_heap_either(cast: Cast, stranger: User, signed_in, action):
    signed_in(stranger).post(f"/week/{action}/", {"change": [cast.change.pk], "note": "mine now"})
    assert unchanged(cast)


def test_a_stranger_sees_none_of_the_companys_changes(cast: Cast, stranger: User, signed_in):
    assert "School of Larkspur" not in signed_in(stranger).get("/week/").content.decode()


@pytest.mark.parametrize("address", STAFF_PAGES)
def test_staff_pages_do_not_exist_for_a_client(cast: Cast, signed_in, address):
    assert signed_in(cast.client_person).get(at(cast, address)).status_code == 404


@pytest.mark.parametrize("address", POSTS)
def test_a_client_decides_nothing(cast: Cast, signed_in, address):
    assert signed_in(cast.client_person).post(at(cast, address), {"note": "please"}).status_code == 404
    assert unchanged(cast)


@pytest.mark.parametrize("action", ["approve", "decline", "undo"])
def test_a_technician_reads_but_does_not_decide(cast: Cast, technician: Client, action):
    assert technician.get(f"/changes/{cast.change.pk}/").status_code == 200
    answer = technician.post(f"/changes/{cast.change.pk}/{action}/", {"note": "no"})
    assert answer.status_code == 403
    assert "Only the owner and the office decide" in answer.content.decode()
    assert unchanged(cast)


@pytest.mark.parametrize("address", [*POSTS, "/week/approve/", "/sign-out/", "/company/"])
def test_nothing_is_done_by_following_a_link(cast: Cast, owner: Client, address):
    assert owner.get(at(cast, address)).status_code == 405
    assert unchanged(cast)


def test_a_form_from_elsewhere_is_not_taken(cast: Cast, signed_in):
    web = signed_in(cast.owner, enforce_csrf_checks=True)
    answer = web.post(f"/changes/{cast.change.pk}/approve/")
    assert answer.status_code == 403
    assert "This form was open too long" in answer.content.decode()
    assert unchanged(cast)


def test_pages_are_not_kept_by_a_shared_computer(owner: Client):
    assert "no-store" in owner.get("/week/")["Cache-Control"]


def test_who_works_for_two_companies_picks_one(cast: Cast, stranger: User, signed_in):
    other = stranger.memberships.get().company
    Membership.objects.create(user=cast.owner, company=other, role="technician")
    web = signed_in(cast.owner)
    assert "School of Larkspur" in web.get("/week/?view=needs").content.decode()
    assert web.post("/company/", {"company": other.pk})["Location"] == "/"
    page = web.get("/week/?view=needs").content.decode()
    assert "School of Larkspur" not in page
    assert "technician" in page


@pytest.mark.parametrize("company", ["0", "", "-1", "x", "9" * 30])
def test_a_company_one_does_not_work_for_cannot_be_picked(owner: Client, company):
    assert owner.post("/company/", {"company": company}).status_code == 404


@pytest.mark.parametrize("address", ["card/", "card/card.pdf", "card/months.pdf"])
def test_who_works_elsewhere_and_reads_a_client_here_keys_nothing_in(
    cast: Cast, stranger: User, signed_in, address
):
    ClientAccess.objects.create(user=stranger, client=cast.client)
    browser = signed_in(stranger)
    assert browser.get(f"/sites/{cast.site.pk}/").status_code == 200
    assert browser.get(f"/controllers/{cast.controller.pk}/{address}").status_code == 404


def test_letters_are_for_those_who_manage_the_company_they_are_of(cast: Cast, stranger: User, signed_in):
    Membership.objects.create(user=stranger, company=cast.company, role="technician")
    letter = Letter.objects.create(
        company=cast.company, kind="opening", key="1", to="one@larkspur.test", subject="Opens", text="T"
    )
    browser = signed_in(stranger)
    browser.post("/company/", {"company": Company.objects.get(name="Quillback Gardens").pk})
    assert browser.get(f"/letters/{letter.pk}/").status_code == 404
