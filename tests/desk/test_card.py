"""A controller's card on screen and on paper."""

from datetime import timedelta

import pytest

from tests.desk.papers import paper
from tests.night.garden import ON, Garden, garden, weather


@pytest.fixture
def heron(db: None, settings) -> Garden:
    settings.AS_OF = ON
    made = garden(minutes=30.0, zones=2)
    weather(made.cell)
    return made


def test_page_and_paper_say_the_same(heron: Garden, signed_in):
    web, pk = signed_in(heron.owner), heron.zones[0].controller_id
    text = web.get(f"/controllers/{pk}/card/").content.decode()
    card = paper(web.get(f"/controllers/{pk}/card/card.pdf"))
    for zone in heron.zones:
        assert zone.name in text
        assert zone.name in card
    assert "30\u00a0min" in text
    assert "30 min" in card
    assert "mains voltage" in text
    assert "mains voltage" in card


def test_months_say_what_they_need(heron: Garden, signed_in):
    web, pk = signed_in(heron.owner), heron.zones[0].controller_id
    heron.cell.normals.all().delete()
    assert (
        "this needs what the months usually bring here"
        in web.get(f"/controllers/{pk}/card/").content.decode()
    )
    assert "this needs" in paper(web.get(f"/controllers/{pk}/card/months.pdf"))
    for month in range(1, 13):
        heron.cell.normals.create(
            month=month, reference_et_mm=2.0 + (month in (6, 7, 8)) * 4.0, days_used=300
        )
    months = paper(web.get(f"/controllers/{pk}/card/months.pdf"))
    for name in ("January", "July", "December"):
        assert name in months


def test_a_correction_of_the_site_stands_on_page_and_papers_with_day_and_reason(heron: Garden, signed_in):
    for day, factor, reason in ((40, 0.8, "Courtyard."), (9, 1.1, "Windy ridge."), (-2, 1.3, "Not yet.")):
        heron.site.corrections.create(
            factor=factor, reason=reason, effective_from=ON - timedelta(days=day), by=heron.owner
        )
    for month in range(1, 13):
        heron.cell.normals.create(month=month, reference_et_mm=4.0, days_used=300)
    web, pk = signed_in(heron.owner), heron.zones[0].controller_id
    text = web.get(f"/controllers/{pk}/card/").content.decode().replace("\u00a0", " ")
    told = [text, *(paper(web.get(f"/controllers/{pk}/card/{sheet}.pdf")) for sheet in ("card", "months"))]
    for words in told:
        words = " ".join(words.split())
        assert "This site counts at 110 % of reference ET since" in words
        assert "Windy ridge" in words
        assert "Courtyard" not in words
        assert "Not yet" not in words


def test_nobody_elses_card(heron: Garden, signed_in):
    other = garden(name="Other")
    web = signed_in(other.owner)
    for page in ("", "card.pdf", "months.pdf"):
        assert web.get(f"/controllers/{heron.zones[0].controller_id}/card/{page}").status_code == 404
