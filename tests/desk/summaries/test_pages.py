"""The pages of summaries: made, read, held back, approved, sent; and what a reader finds."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client as Browser

from fleet.models import Client, Letter, Membership, User
from reports.models import Summary, SummaryStop
from reports.services.summaries import make
from tests.cast import PASSWORD
from tests.desk.conftest import SignedIn
from tests.desk.summaries.conftest import MONTH, readable
from tests.night.garden import Garden, garden
from tests.summaries import summary_figures

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
PAGE = "/summaries/2026-06/"
SHOWN = datetime(2026, 7, 6, 11, tzinfo=UTC)


@pytest.fixture
def owner(heron: Garden, signed_in: SignedIn) -> Browser:
    return signed_in(heron.owner)


@pytest.fixture
def draft(heron: Garden) -> Summary:
    [row] = make([heron.client], MONTH)
    return row


def shown_now(browser: Browser) -> str:
    """Return what the button to approve all carries along."""
    found = re.search(r'name="as_of" value="([^"]*)"', browser.get(PAGE).content.decode())
    return found[1] if found else "2100-01-01T00:00:00+00:00"


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\u00a0", " ")


def test_the_month_that_is_over_opens_first(owner: Browser):
    assert owner.get("/summaries/")["Location"] == PAGE


def test_drafts_are_made_read_and_sent_with_one_click(owner: Browser, office):
    assert "not made yet" in text(owner.get(PAGE))
    assert owner.post(f"{PAGE}make/")["Location"] == PAGE
    row = Summary.objects.get()
    assert "to approve" in text(owner.get(PAGE))
    page = text(owner.get(f"/summaries/{row.pk}/"))
    assert "Your watering in June 2026" in page
    assert "To reader@heron.test" in page
    assert office.taken == []
    owner.post(f"/summaries/{row.pk}/approve/")
    owner.post(f"/summaries/{row.pk}/approve/")
    assert [to for to, _ in office.taken] == ["reader@heron.test"]
    assert "Sent." in text(owner.get(f"/summaries/{row.pk}/"))
    row.refresh_from_db()
    assert row.approved_by is not None
    assert owner.get(f"/summaries/{row.pk}/summary.pdf").content == bytes(row.paper.content)


def test_many_go_out_a_few_at_a_time_and_only_those_that_were_shown(
    owner: Browser, heron: Garden, office, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("desk.pages.summaries.A_BATCH", 1)
    for n in range(3):
        more = Client.objects.create(company=heron.company, name=f"Court {n}")
        site = heron.site
        site.pk, site.client, site.name = None, more, f"Court {n}"
        site._state.adding = True
        site.save()
        readable(more, f"court{n}@heron.test")
    for n in range(3):
        Summary.objects.create(
            client=Client.objects.get(name=f"Court {n}"),
            month=MONTH,
            figures=summary_figures(f"Court {n}"),
            made_at=SHOWN + timedelta(minutes=n),
        )
    ids = list(Summary.objects.order_by("client__name").values_list("pk", flat=True))
    shown = (SHOWN + timedelta(minutes=1)).isoformat()
    answer = owner.post(f"{PAGE}send/", {"as_of": shown})
    assert "1 of 2 summaries" in text(answer)
    assert owner.post(f"{PAGE}send/", {"as_of": shown, "total": "2"})["Location"] == PAGE
    assert sorted(to for to, _ in office.taken) == ["court0@heron.test", "court1@heron.test"]
    assert Summary.objects.get(pk=ids[2]).state == "draft"


def test_held_back_it_goes_to_nobody_until_it_is_released(owner: Browser, draft: Summary, office):
    owner.post(f"/summaries/{draft.pk}/hold/", {"because": "The leak first."})
    owner.post(f"/summaries/{draft.pk}/approve/")
    assert "The leak first." in text(owner.get(f"/summaries/{draft.pk}/"))
    assert office.taken == []
    owner.post(f"/summaries/{draft.pk}/release/")
    owner.post(f"/summaries/{draft.pk}/approve/")
    assert len(office.taken) == 1


def test_a_remark_stands_in_the_letter_as_it_was_typed(owner: Browser, draft: Summary, office):
    owner.post(f"/summaries/{draft.pk}/remark/", {"remark": "<b>Thank you</b> for the tea\nשלום"})
    owner.post(f"/summaries/{draft.pk}/approve/")
    letter = Letter.objects.get()
    assert "<b>Thank you</b> for the tea" in letter.text
    assert "&lt;b&gt;Thank you&lt;/b&gt; for the tea" in letter.html
    assert "שלום" in letter.html
    owner.post(f"/summaries/{draft.pk}/remark/", {"remark": "Too late"})
    draft.refresh_from_db()
    assert "Too late" not in draft.remark


def test_no_more_for_a_client_until_somebody_says_so(owner: Browser, heron: Garden, draft: Summary, office):
    stop = f"/clients/{heron.client.pk}/summaries/stop/"
    owner.post(stop, {"because": ""})
    assert not SummaryStop.objects.exists()
    owner.post(stop, {"because": "Asked by phone", "back": draft.pk})
    assert "Asked by phone" in text(owner.get(PAGE))
    owner.post(f"{PAGE}send/", {"as_of": shown_now(owner)})
    assert office.taken == []
    owner.post(f"/clients/{heron.client.pk}/summaries/resume/")
    owner.post(f"{PAGE}send/", {"as_of": shown_now(owner)})
    assert len(office.taken) == 1


def test_the_e_mail_is_shown_under_a_policy_of_its_own(owner: Browser, draft: Summary):
    answer = owner.get(f"/summaries/{draft.pk}/letter/")
    assert "script-src" not in answer["Content-Security-Policy"]
    assert answer["Content-Security-Policy"].startswith("default-src 'none'")
    assert answer.content.count(b"data:image/png;base64,") == 2
    assert b"cid:" not in answer.content


def test_a_reader_finds_it_once_it_was_sent_and_never_before(
    owner: Browser, heron: Garden, draft: Summary, signed_in: SignedIn, office
):
    reader = signed_in(User.objects.get(email="reader@heron.test"))
    assert "Nothing yet" in text(reader.get("/summaries/"))
    for path in ("", "summary.pdf", "letter/"):
        assert reader.get(f"/summaries/{draft.pk}/{path}").status_code == 404
    owner.post(f"/summaries/{draft.pk}/approve/")
    assert "June 2026" in text(reader.get("/summaries/"))
    page = reader.get(f"/summaries/{draft.pk}/")
    assert "Your watering in June 2026" in text(page)
    assert "Approve" not in text(page)
    assert reader.get(f"/summaries/{draft.pk}/summary.pdf").content[:5] == b"%PDF-"
    assert reader.get(f"/summaries/{draft.pk}/letter/").status_code == 404
    heron.client.access_from = None
    heron.client.save()
    assert reader.get(f"/summaries/{draft.pk}/").status_code == 404


def test_a_technician_decides_nothing_here(heron: Garden, draft: Summary, signed_in: SignedIn):
    hand = User.objects.create_user("hand@heron.test", PASSWORD)
    Membership.objects.create(user=hand, company=heron.company, role="technician")
    browser = signed_in(hand)
    assert browser.get(PAGE).status_code == 403
    assert browser.post(f"/summaries/{draft.pk}/approve/").status_code == 403
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_another_company_sees_nothing_of_it(draft: Summary, signed_in: SignedIn):
    other = signed_in(garden("Quillback", place=(39.3, -121.2, 400.0)).owner)
    assert other.get(f"/summaries/{draft.pk}/").status_code == 404
    other.post(f"{PAGE}send/", {"as_of": "2100-01-01T00:00:00+00:00"})
    draft.refresh_from_db()
    assert draft.state == "draft"


@pytest.mark.parametrize("month", ["2026-13", "0000-01", "2026-00"])
def test_what_is_no_month_is_no_page(owner: Browser, month: str):
    assert owner.get(f"/summaries/{month}/").status_code == 404


def test_a_month_to_come_has_nothing_to_make(owner: Browser):
    assert "Make the drafts" not in text(owner.get("/summaries/2026-09/"))
