"""Summaries over REST: the page's figures, to a reader only what was sent."""

import pytest
from rest_framework.test import APIClient

from desk.summaries.send import print_approved
from desk.summaries.words import shown
from fleet.models import Letter, User
from fleet.services.letters.post import post_letters
from reports.models import Summary
from reports.services.summaries import approve, make
from tests.desk.summaries.conftest import MONTH, heron, office
from tests.night.garden import Garden

__all__ = ["heron", "office"]
pytestmark = pytest.mark.django_db


def signed(user: User) -> APIClient:
    client = APIClient()
    client.force_authenticate(user)
    return client


def test_a_company_reads_drafts_and_a_reader_what_was_sent(heron: Garden, office):
    [row] = make([heron.client], MONTH)
    staff, reader = signed(heron.owner), signed(User.objects.get(email="reader@heron.test"))
    [told] = staff.get("/api/v1/summaries/", {"month": "2026-06-01"}).json()["results"]
    assert (told["client"], told["state"], told["sent_at"]) == (heron.client.pk, "draft", None)
    assert told["figures"] == row.figures
    assert staff.get(f"/api/v1/summaries/{row.pk}/paper/").status_code == 404
    assert reader.get("/api/v1/summaries/").json()["results"] == []
    assert reader.get(f"/api/v1/summaries/{row.pk}/").status_code == 404
    approve(row, by=heron.owner)
    print_approved([row.pk])
    post_letters(kinds=[Letter.Kind.SUMMARY])
    [told] = reader.get("/api/v1/summaries/").json()["results"]
    assert told["state"] == "sent"
    assert shown(told["figures"]) == shown(row.figures)
    paper = reader.get(f"/api/v1/summaries/{row.pk}/paper/")
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content == bytes(Summary.objects.get().paper.content)


def test_nothing_is_written_here(heron: Garden):
    [row] = make([heron.client], MONTH)
    staff = signed(heron.owner)
    assert staff.post("/api/v1/summaries/", {}).status_code == 405
    assert staff.patch(f"/api/v1/summaries/{row.pk}/", {}).status_code == 405
    assert staff.delete(f"/api/v1/summaries/{row.pk}/").status_code == 405
