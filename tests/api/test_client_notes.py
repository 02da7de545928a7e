"""Notes over REST: a reader writes and reads their own, the company answers and leaves nights out."""

from typing import Any

import pytest

from fleet.models import Client, ClientNote
from tests.cast import Cast, a_site, reader
from tests.night.garden import ON
from tests.notes.conftest import SATURDAY, Written, written

__all__ = ["written"]

URL = "/api/v1/client-notes/"


def post(api: Any, who: Any, url: str, body: Any = None, **headers: str) -> Any:
    api.force_authenticate(who)
    return api.post(url, body or {}, format="json", headers=headers)


def test_a_reader_writes_about_their_own_site_once(api, cast: Cast):
    body = {"site": cast.site.pk, "words": "Guests 🎉", "dry_from": "2026-07-11"}
    first, second = (post(api, cast.client_person, URL, body, **{"Idempotency-Key": "k-1"}) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 201)
    assert second["Idempotent-Replay"] == "true"
    row = first.json()
    assert (row["dry_to"], row["status"], row["outcome"]) == ("2026-07-11", "waiting", "waiting")
    assert ClientNote.objects.count() == 1
    answer = api.get(first["Location"])
    assert answer["ETag"] == first["ETag"]
    assert api.get(first["Location"], headers={"If-None-Match": answer["ETag"]}).status_code == 304


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"words": "x" * 1001}, "words"),
        ({"words": "Late.", "dry_from": "2026-07-05"}, "dry_from"),
        ({"words": "Far.", "dry_from": "2026-12-01"}, "dry_to"),
        ({"words": "Whose?", "status": "granted"}, "status"),
    ],
)
def test_what_cannot_be_is_a_problem_with_its_field(api, cast: Cast, said: dict, field: str):
    answer = post(api, cast.client_person, URL, {"site": cast.site.pk, **said})
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")
    assert answer.json()["errors"][0]["field"] == field


def test_each_sees_the_notes_of_their_own_sites(api, cast: Cast, stranger):
    neighbour = Client.objects.create(company=cast.company, name="Next door", access_from="2026-05-01")
    other = reader(neighbour, "other@larkspur.test")
    theirs = ClientNote.objects.create(site=a_site(neighbour, "Next"), words="Theirs.", by=other)
    mine = ClientNote.objects.create(site=cast.site, words="Mine.", by=cast.client_person)
    seen = {
        cast.client_person: [mine.pk],
        other: [theirs.pk],
        cast.office: [theirs.pk, mine.pk],
        stranger: [],
    }
    for who, numbers in seen.items():
        api.force_authenticate(who)
        rows = api.get(URL).json()["results"]
        assert sorted(row["id"] for row in rows) == sorted(numbers)
    for who in (other, stranger):
        assert post(api, who, f"{URL}{mine.pk}/withdraw/").status_code == 404
        assert post(api, who, URL, {"site": cast.site.pk, "words": "Mine?"}).status_code == 400
    assert post(api, cast.owner, URL, {"site": cast.site.pk, "words": "Mine?"}).status_code == 403
    api.force_authenticate(cast.office)
    narrowed = api.get(URL, {"client": cast.client.pk, "status": "waiting"}).json()["results"]
    assert [row["id"] for row in narrowed] == [mine.pk]


def test_the_company_answers_and_the_writer_withdraws(api, cast: Cast):
    notes = [
        ClientNote.objects.create(site=cast.site, words=f"Note {n}", by=cast.client_person) for n in range(2)
    ]
    first, second = (f"{URL}{note.pk}/" for note in notes)
    for who in (cast.client_person, cast.technician):
        assert post(api, who, f"{first}answer/", {"answer": "Yes."}).status_code == 403
    answered = post(api, cast.office, f"{first}answer/", {"answer": "We will."})
    assert (answered.status_code, answered.json()["answered_by"]) == (200, cast.office.pk)
    gone = post(api, cast.client_person, f"{first}withdraw/")
    assert (gone.status_code, gone.json()["current_status"]) == (409, "answered")
    assert post(api, cast.client_person, f"{second}withdraw/").json()["status"] == "withdrawn"
    back = post(api, cast.office, f"{first}take-back/").json()
    assert (back["status"], back["answer"]) == ("waiting", "")


def test_what_is_offered_is_left_out_and_read_by_the_client(api, written: Written):
    url, owner = f"{URL}{written.note.pk}/", written.garden.owner
    api.force_authenticate(written.reader)
    assert api.get(f"{url}offers/").status_code == 404
    api.force_authenticate(owner)
    offers = api.get(f"{url}offers/").json()["offers"]
    assert [one["effect"]["litres"] < 0 for one in offers] == [True, True]
    assert all(one["risk"]["keep"] and one["risk"]["change"] for one in offers)
    names = ("program", "effective_from", "effective_to")
    skips = [{name: one[name] for name in names} for one in offers]
    moved = [skips[0] | {"effective_from": ON.isoformat()}]
    assert post(api, owner, f"{url}skip/", {"skips": moved}).status_code == 409
    done = post(api, owner, f"{url}skip/", {"skips": skips, "answer": "Enjoy."}).json()
    assert (done["status"], done["outcome"], len(done["skips"])) == ("granted", "agreed", 2)
    api.force_authenticate(written.reader)
    assert api.get(url).json()["skips"][1]["effective_from"] == SATURDAY.isoformat()
