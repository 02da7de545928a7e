"""Opening and closing a client's access, its readers: asked first, stale-safe, kept with who and when."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from common.errors import NotAllowed
from fleet.models import Client as Client_
from fleet.models import ClientAccess, User
from fleet.services.client_access import add_reader, set_access
from tests.cast import TODAY, Cast, worker

pytestmark = pytest.mark.django_db
SignedIn = Callable[[User], Client]
OPENED = date(2026, 5, 1)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def access_from(cast: Cast) -> date | None:
    return Client_.objects.get(pk=cast.client.pk).access_from


def address(cast: Cast, step: str) -> str:
    return f"/clients/{cast.client.pk}/access/{step}/"


def test_asking_changes_nothing(cast: Cast, owner: Client) -> None:
    for step, words in (("open", "Open access now?"), ("later", "from a day on"), ("close", "Close access?")):
        page = text(owner.get(address(cast, step)))
        assert words in page
        assert 'name="seen" value="2026-05-01"' in page
    assert access_from(cast) == OPENED


def test_access_is_closed_and_opened_and_kept_with_who_did_it(cast: Cast, owner: Client) -> None:
    assert owner.post(address(cast, "close"), {"seen": "2026-05-01"}).status_code == 302
    assert access_from(cast) is None
    assert owner.post(address(cast, "open"), {"seen": ""}).status_code == 302
    assert access_from(cast) == TODAY
    later = TODAY + timedelta(days=9)
    assert owner.post(address(cast, "later"), {"seen": TODAY.isoformat(), "on": later.isoformat()})
    assert access_from(cast) == later
    kept = list(Client_.history.filter(id=cast.client.pk)[:3])  # type: ignore[attr-defined]
    assert [row.access_from for row in kept] == [later, TODAY, None]
    assert {row.history_user for row in kept} == {cast.owner}
    page = text(owner.get(f"/clients/{cast.client.pk}/"))
    assert "Opens on July 15 2026" in page


def test_who_was_slower_is_told_what_holds_and_stores_nothing(cast: Cast, owner: Client) -> None:
    set_access(client=cast.client, by=cast.office, access_from=None, seen="2026-05-01")
    answer = owner.post(address(cast, "later"), {"seen": "2026-05-01", "on": "2026-08-01"})
    assert answer.status_code == 409
    assert "Somebody has changed this meanwhile: access is closed." in text(answer)
    assert 'name="seen" value=""' in text(answer)
    assert 'value="2026-08-01"' in text(answer)
    assert access_from(cast) is None


@pytest.mark.parametrize("on", ["", "soon", "2026-02-31", "1066-10-14", "9999-01-01", "9" * 5000, "🌱", "\0"])
def test_a_wrong_day_is_told_and_nothing_stored(cast: Cast, owner: Client, on: str) -> None:
    assert owner.post(address(cast, "later"), {"seen": "2026-05-01", "on": on}).status_code == 422
    assert access_from(cast) == OPENED


def test_a_reader_sees_nothing_once_access_is_closed(cast: Cast, owner: Client, signed_in: SignedIn) -> None:
    browser = signed_in(cast.client_person)
    assert browser.get(f"/sites/{cast.site.pk}/").status_code == 200
    owner.post(address(cast, "close"), {"seen": "2026-05-01"})
    assert browser.get(f"/sites/{cast.site.pk}/").status_code == 404


def test_a_person_known_elsewhere_is_added_without_their_name(
    cast: Cast, owner: Client, stranger: User
) -> None:
    page = owner.post(
        f"/clients/{cast.client.pk}/people/", {"email": f" {stranger.email.upper()} "}, follow=True
    )
    assert ClientAccess.objects.filter(client=cast.client, user=stranger).count() == 1
    assert stranger.email in text(page)
    assert stranger.name not in text(page)
    kept = ClientAccess.history.get(user=stranger)  # type: ignore[attr-defined]
    assert (kept.history_type, kept.history_user) == ("+", cast.owner)


def test_somebody_new_is_written_down_and_can_not_sign_in_yet(cast: Cast, owner: Client) -> None:
    owner.post(f"/clients/{cast.client.pk}/people/", {"email": "New@place.test", "name": "Nell Example"})
    new = User.objects.get(email="new@place.test")
    assert (new.name, new.has_usable_password()) == ("Nell Example", False)
    assert "Nell Example" in text(owner.get(f"/clients/{cast.client.pk}/"))


@pytest.mark.parametrize(
    "email", ["", "no-address", "a@", "x" * 300 + "@b.test", "🌱@x", "a\0b", "reader@larkspur.test"]
)
def test_a_wrong_address_is_told_by_the_field_and_kept(cast: Cast, owner: Client, email: str) -> None:
    before = User.objects.count(), ClientAccess.objects.count()
    answer = owner.post(f"/clients/{cast.client.pk}/people/", {"email": email, "name": "Kept <b>"})
    assert answer.status_code == 422
    assert 'id="reader-error"' in text(answer)
    assert 'value="Kept &lt;b&gt;"' in text(answer)
    assert (User.objects.count(), ClientAccess.objects.count()) == before


def test_removing_a_reader_is_asked_about_first(cast: Cast, owner: Client) -> None:
    access = ClientAccess.objects.get(client=cast.client)
    url = f"/clients/{cast.client.pk}/people/{access.pk}/"
    assert "Remove reader@larkspur.test?" in text(owner.get(url))
    assert ClientAccess.objects.filter(pk=access.pk).exists()
    page = text(owner.post(url, follow=True))
    assert not ClientAccess.objects.filter(pk=access.pk).exists()
    assert User.objects.filter(email="reader@larkspur.test").exists()
    assert "reads School of Larkspur Irrigation no more" in page
    kept = ClientAccess.history.first()  # type: ignore[attr-defined]
    assert (kept.history_type, kept.history_user) == ("-", cast.owner)
    assert "Somebody has removed this person meanwhile." in text(owner.post(url, follow=True))
    assert owner.get(url).status_code == 404


def test_another_clients_reader_is_not_removed_through_this_one(cast: Cast, owner: Client) -> None:
    other = Client_.objects.create(company=cast.company, name="Other")
    access, _ = add_reader(client=other, by=cast.owner, email="o@place.test")
    assert owner.get(f"/clients/{cast.client.pk}/people/{access.pk}/").status_code == 404
    owner.post(f"/clients/{cast.client.pk}/people/{access.pk}/")
    assert ClientAccess.objects.filter(pk=access.pk).exists()


def test_a_technician_reads_and_changes_nothing(cast: Cast, technician: Client) -> None:
    access = ClientAccess.objects.get(client=cast.client)
    page = text(technician.get(f"/clients/{cast.client.pk}/"))
    assert "reader@larkspur.test" in page
    for button in ("Open now", "Close access", "Remove", "Change this client's own values", 'name="email"'):
        assert button not in page
    for part in ("access/open/", "access/later/", "access/close/", f"people/{access.pk}/", "policy/"):
        for answer in (
            technician.get(f"/clients/{cast.client.pk}/{part}"),
            technician.post(f"/clients/{cast.client.pk}/{part}", {"seen": "2026-05-01"}),
        ):
            assert answer.status_code == 403
    assert technician.post(f"/clients/{cast.client.pk}/people/", {"email": "a@b.test"}).status_code == 403
    assert access_from(cast) == OPENED
    with pytest.raises(NotAllowed):
        set_access(client=cast.client, by=cast.technician, access_from=None, seen="2026-05-01")


def test_the_office_may_and_another_companys_owner_may_not(cast: Cast, signed_in: SignedIn) -> None:
    other = worker(type(cast.company).objects.create(name="Elsewhere"), "owner", "elsewhere.test")
    assert signed_in(other).post(address(cast, "close"), {"seen": "2026-05-01"}).status_code == 404
    assert access_from(cast) == OPENED
    assert signed_in(cast.office).post(address(cast, "close"), {"seen": "2026-05-01"}).status_code == 302
    assert access_from(cast) is None


def test_without_the_token_nothing_is_stored(cast: Cast, signed_in: SignedIn) -> None:
    browser = signed_in(cast.owner, enforce_csrf_checks=True)  # type: ignore[call-arg]
    for part in ("access/close/", "people/", "policy/"):
        assert browser.post(f"/clients/{cast.client.pk}/{part}", {"seen": "2026-05-01"}).status_code == 403
    assert access_from(cast) == OPENED


def test_the_same_asked_twice_is_done_once_and_answered_alike(cast: Cast, owner: Client) -> None:
    for step, form in (
        ("close", {"seen": "2026-05-01"}),
        ("open", {"seen": ""}),
        ("later", {"seen": TODAY.isoformat(), "on": "2026-08-01"}),
    ):
        kept = Client_.history.count()  # type: ignore[attr-defined]
        answers = [owner.post(address(cast, step), form, follow=True) for _ in range(2)]
        said = [[str(m) for m in answer.context["messages"]] for answer in answers]
        assert [answer.status_code for answer in answers] == [200, 200]
        assert said[0] == said[1] != []
        assert Client_.history.count() == kept + 1  # type: ignore[attr-defined]
