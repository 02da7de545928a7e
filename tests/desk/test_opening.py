"""Opening access: the contractor alone gets the pack until the day; then every reader, once."""

import io
import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from desk.letters.opening import write_openings, write_packs
from desk.pack import pack_words
from fleet.models import Client, Letter
from fleet.services.client_access import add_reader, seen_access, set_access
from fleet.services.letters.post import post_letters
from tests.cast import TODAY, Cast, a_site, a_zone
from tests.fleet.letters.conftest import office

__all__ = ["office"]


@pytest.fixture
def site(cast: Cast, settings) -> Cast:
    settings.SITE_URL = "https://desk.larkspur.test"
    Client.objects.filter(pk=cast.client.pk).update(access_from=None)
    cast.client.refresh_from_db()
    add_reader(client=cast.client, by=cast.owner, email="new@heron.test", name="Ann")
    return cast


def opens(cast: Cast, day: date | None) -> None:
    client = Client.objects.get(pk=cast.client.pk)
    set_access(client=client, by=cast.owner, access_from=day, seen=seen_access(client))


def drain(settings, on: date = TODAY) -> list[str]:
    settings.AS_OF = on
    write_packs()
    write_openings()
    return [letter.to for letter in Letter.objects.filter(pk__in=post_letters().sent)]


def test_until_the_day_the_contractor_alone(site: Cast, office, settings):
    opens(site, TODAY + timedelta(days=2))
    assert drain(settings) == ["owner@larkspur.test"]
    [(_, message)] = office.taken
    text = (
        next(p for p in message.walk() if p.get_content_type() == "text/plain")
        .get_payload(decode=True)
        .decode()
    )
    assert "new@heron.test" in text
    assert "welcome/" not in text
    assert drain(settings, TODAY + timedelta(days=1)) == []
    sent = drain(settings, TODAY + timedelta(days=2))
    assert sorted(sent) == ["new@heron.test", "reader@larkspur.test"]
    assert drain(settings, TODAY + timedelta(days=3)) == []


def test_who_has_no_password_gets_a_link_that_works_who_has_one_signs_in(
    site: Cast, office, settings, client
):
    opens(site, TODAY)
    drain(settings)
    texts = {
        to: next(p for p in message.walk() if p.get_content_type() == "text/plain")
        .get_payload(decode=True)
        .decode()
        for to, message in office.taken
    }
    assert "https://desk.larkspur.test" + reverse("desk:sign-in") in texts["reader@larkspur.test"]
    assert "welcome" not in texts["reader@larkspur.test"]
    link = re.search(r"https://desk\.larkspur\.test(/welcome/\S+)", texts["new@heron.test"])[1]
    assert "Ann" in texts["new@heron.test"]
    page = client.post(
        link,
        {"name": "Ann", "password": "eleven quiet willows", "again": "eleven quiet willows"},
        follow=True,
    )
    assert page.status_code == 200
    assert site.site.name in page.content.decode()


def test_closed_or_moved_before_the_letter_went_nothing_reaches_the_client(site: Cast, office, settings):
    opens(site, TODAY)
    write_openings()
    opens(site, None)
    assert drain(settings) == []
    assert set(Letter.objects.values_list("state", flat=True)) == {Letter.State.STOPPED}
    opens(site, TODAY + timedelta(days=30))
    assert drain(settings) == ["owner@larkspur.test"]
    assert len(drain(settings, TODAY + timedelta(days=30))) == 2


def test_who_may_read_later_is_written_to_then(site: Cast, office, settings):
    opens(site, TODAY)
    drain(settings)
    add_reader(client=site.client, by=site.owner, email="late@heron.test")
    assert drain(settings) == ["late@heron.test"]


def test_access_opened_long_ago_is_no_news(site: Cast, office, settings):
    opens(site, TODAY - timedelta(days=60))
    assert drain(settings) == []


def test_the_pack_says_zones_programs_nights_whom_to_call_and_cautions(site: Cast, office, settings):
    site.company.phone, site.company.contact_name = "555 0100", "Kim"
    site.company.save()
    opens(site, TODAY)
    drain(settings)
    file = Letter.objects.get(to="new@heron.test").files.get()
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(bytes(file.content))).pages)
    text = text.replace("\u00a0", " ")
    for words in (site.zone.name, "every day", "12 min", "waters from", "555 0100", "Kim", "licensed", "811"):
        assert words in text, words


def test_the_pack_asks_a_fixed_number_of_questions(site: Cast, django_assert_num_queries):
    client = Client.objects.select_related("company").get(pk=site.client.pk)
    with CaptureQueriesContext(connection) as few:
        pack_words(client, on=TODAY)
    for n in range(4):
        box = a_site(site.client, f"Lot {n}").controllers.create(name=f"Wall {n}")
        a_zone(box, 1)
    with django_assert_num_queries(len(few)):
        assert len(pack_words(client, on=TODAY)["sites"]) == 5


def test_the_office_decides_on_letters_a_technician_does_not(site: Cast, signed_in):
    letter = Letter.objects.create(
        company=site.company,
        kind="opening",
        key="x",
        to="a@b.test",
        subject="S <b>",
        text="T",
        state="unsure",
    )
    web = signed_in(site.office)
    assert "1\u00a0letter" in web.get("/").content.decode() or "1 letter" in web.get("/").content.decode()
    assert "S &lt;b&gt;" in web.get("/letters/").content.decode()
    page = web.get(f"/letters/{letter.pk}/").content.decode()
    assert "It did arrive" in page
    assert signed_in(site.technician).get("/letters/").status_code == 403
    assert signed_in(site.technician).post(f"/letters/{letter.pk}/again/").status_code == 403
    web = signed_in(site.office)
    assert web.post(f"/letters/{letter.pk}/arrived/").status_code == 302
    letter.refresh_from_db()
    assert (letter.state, letter.decided_by) == ("sent", site.office)
    said = web.post(f"/letters/{letter.pk}/again/", follow=True).content.decode()
    assert "is sent by now" in said


def test_the_next_page_of_letters_is_of_the_same_view(site: Cast, signed_in, monkeypatch):
    monkeypatch.setattr("desk.pages.letters.A_PAGE", 1)
    for key in "xy":
        Letter.objects.create(
            company=site.company, kind="opening", key=key, to="a@b.test", subject="S", text="T"
        )
    shown = signed_in(site.office).get("/letters/?view=all").content.decode()
    assert 'href="?view=all&amp;page=2"' in shown


def test_nobody_elses_letters(site: Cast, stranger, signed_in):
    letter = Letter.objects.create(
        company=site.company, kind="opening", key="x", to="a@b.test", subject="S", text="T"
    )
    web = signed_in(stranger)
    assert web.get(f"/letters/{letter.pk}/").status_code == 404
    assert web.post(f"/letters/{letter.pk}/stop/").status_code == 404
    assert web.get(f"/clients/{site.client.pk}/pack.pdf").status_code == 404
