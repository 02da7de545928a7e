"""A zone that isn't watered by need is told wherever a page would mislead without it."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client as Browser

from desk.apart import apart_at
from desk.episode_words import runs_words
from fleet.models import Site, Town, Visit, WateringRule, ZoneEpisode, ZoneRound
from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.cast import reader
from tests.desk.papers import paper
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


@pytest.fixture
def place(settings: Any) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=40.0, zones=2, percent=170, units="us")
    made.client.access_from = date(2026, 5, 1)
    made.client.save()
    weather(made.cell)
    ZoneEpisode.objects.create(
        zone=made.zones[1], kind="grow-in", effective_from=ON - timedelta(days=4),
        effective_to=ON + timedelta(days=9), permit="W-118", runs_a_day=4, run_minutes=6,
    )  # fmt: skip
    run_night(on=ON, timezone=TIMEZONE)
    Visit.objects.create(site=made.site, date=ON)
    return made


def test_every_page_that_would_mislead_says_it(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    change = Change.objects.get(kind="percent")
    whole = "Zone 2 Lawn 2 (Shed) is growing in to the night of Thu Jul 23 (permit W-118)."
    runs = "Key in 4 runs a day of 6 min each"
    short = "Zone 2 Lawn 2: growing in to Thu Jul 23."
    days = f"/clients/{place.client.pk}/savings/?from={ON - timedelta(days=2)}"
    told = {
        f"/changes/{change.pk}/": (whole, runs),
        f"/sites/{place.site.pk}/": (whole, runs),
        f"/clients/{place.client.pk}/": (whole, "Left out: zone 2: growing in, not watered by need"),
        "/field/": (whole, runs),
        "/": ("1 zone not watered by need tonight", short),
        "/week/": (short,),
        f"/nights/{change.run_id}/": ("zone 2 Lawn 2: growing in",),
        days: ("Left out: zone 2: growing in",),
        f"/sites/{place.site.pk}/history/": ("growing in from this day until Thu Jul 23",),
        f"/sites/{place.site.pk}/season/": ("Not watered by need in some of these days: zone 2 Lawn 2",),
        "/clients/": ("1 zone not watered by need, left out",),
    }
    for address, words in told.items():
        page = text(browser.get(address))
        for one in words:
            assert one in page, (address, one)


BESIDE = "growing in to Thu Jul 23, not watered by need"


def test_the_week_sheet_says_it_of_the_program_it_touches(place: Garden):
    other = place.controller.programs.create(
        letter="B", name="Front", days="daily", starts=["05:00"], effective=ON - timedelta(days=60)
    )
    other.runs.create(zone=place.zones[0], minutes=10)
    Change.objects.create(
        program=other, kind="percent", current=100, proposed=90, effective_from=ON, reason="Cooler."
    )
    browser = Browser()
    browser.force_login(place.owner)
    rows = text(browser.get("/week/")).split('<tr class="change')[1:]
    tags = {"Lawns, A": True, "Front, B": False}
    assert len(rows) == len(tags)
    for name, touched in tags.items():
        (row,) = [one for one in rows if name in one]
        assert ('<span class="tag">zone 2 growing in</span>' in row) == touched


def test_the_plan_says_it_by_the_zone_and_of_the_night_it_draws(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    address = f"/controllers/{place.controller.pk}/plan/"
    for page in (text(browser.get(address)), text(browser.get(f"{address}adopt/"))):
        assert "Zone 2 Lawn 2 (Shed) is growing in to the night of Thu Jul 23" in page
        assert "Key in 4 runs a day of 6 min each" in page
        assert "is planned for the time after" in page
    answer = browser.get(address)
    page = text(answer)
    assert "Meanwhile zone 2 is growing in: what is keyed in for that isn't drawn" in page.replace(
        "&#x27;", "'"
    )
    by_zone = [line["apart"] for line in answer.context["zones"]]
    assert by_zone == [[], [BESIDE.replace("Thu Jul 23", "Thu\u00a0Jul\u00a023")]]
    openings = {one["zone"].number: one["apart"] for one in answer.context["openings"]}
    assert openings == {1: [], 2: by_zone[1]}
    assert page.count(BESIDE) == 1 + sum(one["zone"].number == 2 for one in answer.context["openings"])
    later = text(browser.get(address, {"effective": "2026-07-24"}))
    assert "growing in" not in later


def test_the_card_says_it_on_screen_and_on_paper(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    address = f"/controllers/{place.controller.pk}/card/"
    said = "Zone 2 Lawn 2 (Shed) is growing in to the night of Thu Jul 23 (permit W-118)."
    for words in (said, "Key in 4 runs a day of 6 min each", BESIDE):
        assert words in text(browser.get(address))
        assert words in paper(browser.get(f"{address}card.pdf"))
    assert said in paper(browser.get(f"{address}months.pdf"))


def test_the_pack_says_it_as_a_client_reads_it(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    pack = paper(browser.get(f"/clients/{place.client.pk}/pack.pdf"))
    assert "Zone 2 Lawn 2: growing in to Thu Jul 23. It isn't watered by what its plants need" in pack
    assert BESIDE in pack
    assert "W-118" not in pack


def test_a_round_says_it_at_the_zone_alone(place: Garden):
    browser = Browser()
    browser.force_login(place.owner)
    row = ZoneRound.objects.create(site=place.site, began_on=ON)
    pages = [text(browser.get(f"/rounds/{row.pk}/zones/{zone.pk}/")) for zone in place.zones]
    assert ["is growing in to the night of" in page for page in pages] == [False, True]


def test_a_towns_new_plans_say_it(place: Garden):
    town = Town.objects.create(company=place.company, name="Upper Vale", stage=1, stage_from=ON)
    WateringRule.objects.create(company=place.company, name="one", town=town, stage=1, weekdays="tue")
    Site.objects.filter(pk=place.site.pk).update(town=town)
    browser = Browser()
    browser.force_login(place.owner)
    page = text(browser.get(f"/settings/towns/{town.pk}/plans/"))
    assert "Zone 2 Lawn 2: growing in to Thu Jul 23." in page


@pytest.mark.parametrize("kind", ZoneEpisode.Kind.values)
def test_every_kind_is_told_by_its_name(place: Garden, kind: str):
    ZoneEpisode.objects.update(kind=kind, leaching_share=0.1)
    (apart,) = apart_at([place.controller], night=ON, units="us").values()
    name = ZoneEpisode.Kind(kind).label
    for told in (apart.for_staff, apart.for_client, apart.of_zone[place.zones[1].pk]):
        assert len(told) == 1
        assert name in told[0]
    assert runs_words(apart.away[0]) in apart.for_staff[0]


def test_what_is_over_or_elsewhere_is_not_told(place: Garden):
    other = garden(name="Other", zones=1)
    ZoneEpisode.objects.create(zone=other.zones[0], kind="off", effective_from=ON)
    (apart,) = apart_at([place.controller], night=ON + timedelta(days=10), units="us").values()
    assert (apart.for_staff, apart.of_zone) == ([], {})


def test_the_client_reads_it_too_without_what_is_keyed_in(place: Garden):
    browser = Browser()
    browser.force_login(reader(place.client, "reader@heron.test"))
    for address in ("/", f"/sites/{place.site.pk}/"):
        page = text(browser.get(address))
        assert "Zone 2 Lawn 2: growing in to Thu Jul 23." in page, address
        assert "W-118" not in page
        assert "Set it right" not in page


def test_it_ends_by_its_date_and_the_morning_says_so_once(place: Garden, settings: Any):
    browser = Browser()
    browser.force_login(place.owner)
    over = "Zone 2 Lawn 2 is no longer growing in: percents are decided again."
    for day, said in ((9, False), (10, True), (11, False)):
        settings.AS_OF = ON + timedelta(days=day)
        page = text(browser.get("/"))
        assert (over in page) == said, day
        assert ("1 zone not watered by need tonight" in page) == (day == 9), day
