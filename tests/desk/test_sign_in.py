import pytest
from django.test import Client
from django.urls import reverse

from tests.cast import PASSWORD, Cast

SIGN_IN = "/sign-in/"


def tried(web: Client, email: str, password: str, **more: str):
    return web.post(SIGN_IN, {"email": email, "password": password, **more})


def test_the_right_password_leads_to_the_morning_sheet(cast: Cast, client):
    assert tried(client, cast.owner.email, PASSWORD)["Location"] == "/"


def test_the_address_may_be_written_in_capitals(cast: Cast, client):
    assert tried(client, cast.owner.email.upper(), PASSWORD).status_code == 302


def test_signing_in_leads_where_somebody_wanted_to_go(cast: Cast, client):
    wanted = client.get("/week/?view=skips")
    assert wanted["Location"] == "/sign-in/?next=/week/%3Fview%3Dskips"
    assert (
        tried(client, cast.owner.email, PASSWORD, next="/week/?view=skips")["Location"] == "/week/?view=skips"
    )


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.test/", "//elsewhere.test", "javascript:alert(1)"])
def test_signing_in_never_leads_out_of_the_service(cast: Cast, client, elsewhere):
    assert tried(client, cast.owner.email, PASSWORD, next=elsewhere)["Location"] == "/"


def test_a_wrong_password_loses_nothing_but_the_password(cast: Cast, client):
    page = tried(client, "Owner@larkspur.test", "wrong", next="/week/")
    text = page.content.decode()
    assert page.status_code == 422
    assert 'value="Owner@larkspur.test"' in text
    assert 'name="next" value="/week/"' in text
    assert "don't go together" in text.replace("&#x27;", "'")
    assert "wrong" not in text


def test_too_many_tries_are_told_in_words_and_lock_even_the_right_password(cast: Cast, client):
    for _ in range(8):
        page = tried(client, cast.owner.email, "wrong")
    assert page.status_code == 429
    assert "Too many tries" in page.content.decode()
    assert cast.owner.email in page.content.decode()
    assert tried(client, cast.owner.email, PASSWORD).status_code == 429


def test_somebody_who_left_cannot_sign_in(cast: Cast, client):
    cast.office.is_active = False
    cast.office.save()
    assert tried(client, cast.office.email, PASSWORD).status_code == 422


def test_signing_out_is_posted_and_ends_the_session(owner):
    assert owner.get("/sign-out/").status_code == 405
    assert owner.post("/sign-out/")["Location"] == reverse("desk:sign-in")
    assert owner.get("/week/").status_code == 302


def test_a_row_posted_after_the_session_ended_leads_the_whole_page_to_sign_in(cast: Cast, client):
    answer = client.post(f"/changes/{cast.change.pk}/approve/", headers={"HX-Request": "true"})
    assert answer["HX-Redirect"] == "/sign-in/?signed-out=1"
    assert "You were signed out" in client.get(answer["HX-Redirect"]).content.decode()


@pytest.mark.parametrize(
    "going_to", ["x", "-1", "a\0b", "%", "9" * 10_000, "/" + "9" * 10_000, "//elsewhere.test/"]
)
def test_nonsense_to_go_on_to_leads_to_the_first_page(cast: Cast, owner: Client, going_to: str):
    assert owner.get("/sign-in/", {"next": going_to})["Location"] == "/"
    form = {"email": cast.owner.email, "password": PASSWORD, "next": going_to}
    assert Client().post("/sign-in/", form)["Location"] == "/"
