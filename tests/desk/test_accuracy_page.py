"""How good the numbers are, on a page for those who work here."""

import json

import pytest
from django.test import Client as Browser
from django.urls import reverse

from desk.pages.accuracy import WRITTEN
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_it_shows_every_case_library_and_target(owner: Browser):
    text = owner.get(reverse("desk:accuracy")).content.decode()
    found = json.loads(WRITTEN.read_text())
    for one in found["cases"] + found["libraries"]:
        assert one["what"].replace("'", "&#x27;") in text
    for one in found["targets"]:
        assert f"{one['ratio']:.3f}" in text
    assert "not a certification" in text


def test_it_is_not_for_strangers(client: Browser, cast: Cast):
    assert client.get(reverse("desk:accuracy")).status_code == 302


def test_numbers_are_written_out(owner: Browser):
    text = owner.get(reverse("desk:accuracy")).content.decode()
    assert "e+0" not in text
    assert "e-0" not in text
    assert "1,108,870 gal/yr" in text.replace("\u00a0", " ")  # 50,000 ft2 at Fresno: the printed case
    assert "below 0.0001" in text
