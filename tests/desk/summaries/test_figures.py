"""A month's figures are those of the client's page and of the interface, to the digit; also on paper."""

import io
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from desk.summaries.jobs import job_of
from desk.summaries.printing import printed
from desk.summaries.words import shown, summary_words
from fleet.models import Client, Finding, Visit, ZoneTrim
from reports.models import Summary
from reports.selectors.measured import measured_savings
from reports.selectors.savings import client_savings
from reports.selectors.summary.figures import month_figures
from reports.services.baselines import fit_baseline
from reports.services.summaries import make
from scheduling.models import Change, Setting, Skip
from tests.cast import MORNING
from tests.desk.summaries.conftest import MONTH
from tests.night.garden import ON, Garden, garden, weather
from tests.reports.measured.metered_garden import BASELINE, metered
from tests.summaries import summary_figures

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # asks nothing that databases answer differently


def test_figures_are_those_of_the_client(heron: Garden):
    told = month_figures([heron.client], MONTH)[heron.client.pk]
    savings = client_savings(heron.client, first=MONTH, last=date(2026, 6, 30), on=ON)
    assert told["applied_l"] == savings.applied_l > 0
    assert told["baseline_l"] == savings.found.baseline_l
    assert told["saved_l"] == savings.found.saved_l
    assert told["money"] == str(savings.found.money)
    assert told["adequacy"] == savings.adequacy
    assert told["beside"]["saved_l"] == savings.monthly.saved_l
    assert (told["from"], told["through"], told["complete"]) == ("2026-06-01", "2026-06-30", True)
    assert told["weather"][0]["rain_mm"] == pytest.approx(9.0)
    assert told["weather"][0]["days"] == 30


def test_many_clients_at_once_get_what_each_gets_alone(heron: Garden):
    other = garden("Quillback", minutes=12.0, percent=100, place=(39.3, -121.2, 400.0))
    weather(other.cell, et_mm=4.0)
    both = month_figures([heron.client, other.client], MONTH)
    for one in (heron, other):
        assert both[one.client.pk] == month_figures([one.client], MONTH)[one.client.pk]
    assert both[heron.client.pk]["applied_l"] != both[other.client.pk]["applied_l"]


def test_a_month_that_runs_reaches_to_yesterday(heron: Garden):
    told = month_figures([heron.client], date(2026, 7, 1))[heron.client.pk]
    assert (told["through"], told["complete"]) == ("2026-07-13", False)


@pytest.mark.parametrize(
    ("month", "words"), [(date(2026, 8, 1), "hasn't begun"), (date(2026, 1, 1), "nothing was counted")]
)
def test_a_month_with_nothing_in_it_says_why(heron: Garden, month: date, words: str):
    told = month_figures([heron.client], month)[heron.client.pk]
    assert words in told["empty"]
    assert told["applied_l"] is None
    with pytest.raises(ValueError, match="nothing to tell"):
        summary_words(told)


def test_a_client_without_a_site_has_nothing_to_tell(heron: Garden):
    bare = Client.objects.create(company=heron.company, name="Bare Court")
    assert "no site" in month_figures([bare], MONTH)[bare.pk]["empty"]


def test_what_was_done_is_told_by_why_it_was_done(heron: Garden):
    program = heron.program
    change = Change.objects.create(
        program=program, kind="percent", current=90, proposed=105, decided=105, status="applied",
        effective_from=date(2026, 6, 5), reason="Hotter.", decided_at=MORNING, applied_at=MORNING,
        applied_on=date(2026, 6, 5),
    )  # fmt: skip
    Setting.objects.create(
        program=program, percent=105, effective_from=date(2026, 6, 5), how="change", change=change
    )
    Setting.objects.create(program=program, percent=110, effective_from=date(2026, 6, 20), how="entered")
    rain = Change.objects.create(
        program=program, kind="rain_skip", status="applied", effective_from=date(2026, 6, 10),
        effective_to=date(2026, 6, 11), reason="Rain.", decided_at=MORNING, applied_at=MORNING,
    )  # fmt: skip
    Skip.objects.create(
        program=program, effective_from=date(2026, 6, 10), effective_to=date(2026, 6, 11), reason="Rain.",
        change=rain,
    )  # fmt: skip
    Skip.objects.create(
        program=program,
        effective_from=date(2026, 6, 30),
        effective_to=date(2026, 7, 2),
        reason="Garden party",
    )
    ZoneTrim.objects.create(
        zone=heron.zones[0], factor=0.9, reason="Shady fence", effective_from=date(2026, 6, 7)
    )
    Visit.objects.create(site=heron.site, date=date(2026, 6, 9), kind="repair", done_at=MORNING)
    Finding.objects.create(
        zone=heron.zones[1], found_on=date(2026, 6, 9), part="nozzle", status="mended", lost_l_day=200
    )
    words = summary_words(month_figures([heron.client], MONTH)[heron.client.pk])
    said = {group["head"]: " | ".join(group["lines"]).replace("\u00a0", " ") for group in words["done"]}
    assert "from 90 to 105 %, on June 5" in said["Because of the weather"]
    assert "2 nights without water because of rain" in said["Because of the weather"]
    assert "to 110 %, on June 20" in said["Because we decided so"]
    assert "10% less from June 7: Shady fence" in said["Because we decided so"]
    assert "nozzle mended on June 9, which lost about 53 gal a day" in said["Mended and looked after"]
    assert "one night without water left out by hand: Garden party" in said["As you wished"]


def test_paper_and_both_letters_show_the_figures_to_the_digit(heron: Garden):
    [row] = make([heron.client], MONTH)
    made = printed(job_of(row))
    reader = PdfReader(io.BytesIO(made.pdf))
    paper = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    figures = shown(row.figures)
    assert set(figures) == {"applied", "baseline", "withheld", "saved", "money", "adequacy"}
    for name in ("applied", "baseline", "saved", "money"):
        assert figures[name] in paper, name
        assert figures[name] in made.text, name
        assert figures[name] in made.html, name
    assert len(reader.pages) <= 2
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert set(made.pictures) == {"months", "days"}
    assert all(picture.startswith(b"\x89PNG") for picture in made.pictures.values())


@pytest.mark.parametrize(
    ("other", "words"),
    [
        ({}, "396 gal less than the settings we found"),
        ({"saved_l": 100.0}, "about what the settings we found"),
        ({"saved_l": -2000.0, "money": "-5.00"}, "528 gal more than the settings we found"),
        ({"saved_l": None, "baseline_l": None}, "isn't known"),
        ({"adequacy": 0.8}, "80 % of the water they need"),
    ],
)
def test_the_first_sentence_is_honest(other: dict[str, Any], words: str):
    lead = summary_words(summary_figures(**other))["lead"].replace("\u00a0", " ")
    assert words in lead


def test_more_water_is_no_worth_but_a_cost():
    told = shown(summary_figures(saved_l=-2000.0, money="-5.00"))
    assert told["saved"] == "−528 gal"
    assert told["money"] == "−$5.00"
    assert "worth" not in summary_words(summary_figures(saved_l=-2000.0, money="-5.00"))["lead"]


def test_drafts_are_made_anew_and_approved_ones_stay(heron: Garden):
    [row] = make([heron.client], MONTH)
    Summary.objects.filter(pk=row.pk).update(state="approved", approved_at=MORNING)
    before = row.figures
    Setting.objects.create(program=heron.program, percent=40, effective_from=date(2026, 6, 15))
    [row] = make([heron.client], MONTH)
    assert row.figures == before
    Summary.objects.filter(pk=row.pk).update(state="draft", approved_at=None)
    [row] = make([heron.client], MONTH)
    assert row.figures["applied_l"] < before["applied_l"]


def test_many_cost_as_many_queries_as_one(heron: Garden):
    others = []
    for n in range(3):
        more = garden(f"More{n}", place=(39.2, -121.1, 310.0))
        others.append(more.client)
    with CaptureQueriesContext(connection) as one:
        month_figures([heron.client], MONTH)
    with CaptureQueriesContext(connection) as many:
        month_figures([heron.client, *others], MONTH)
    assert len(many) == len(one)


def test_what_meters_say_stands_beside_and_apart(heron: Garden):
    meter = heron.site.meters.create(name="Street", unit="m3", mixed=True)
    meter.readings.create(read_at="2026-06-11T07:00:00Z", value=100)
    meter.readings.create(read_at="2026-06-21T07:00:00Z", value=120)
    told = month_figures([heron.client], MONTH)[heron.client.pk]
    assert told["metered"] == {
        "used_l": pytest.approx(20_000), "known_days": 10, "days": 30, "mixed": True,
        "sites": [meter.site_id], "in_part": False,
    }  # fmt: skip
    assert told["measured"] is None
    savings = client_savings(heron.client, first=MONTH, last=date(2026, 6, 30), on=ON)
    assert told["applied_l"] == savings.applied_l
    assert told["budget_l"] == savings.budget_l
    said = " ".join(summary_words(told)["measured"]).replace("\u00a0", " ")
    assert "5,283 gal went through your meters on the 10 of 30 days" in said  # 20 m3, 3.785411784 L a gallon
    assert "water used indoors included" in said
    assert "of the water budget" in said


def test_meters_of_some_sites_say_which_and_stand_beside_the_estimate_there():
    [here] = summary_figures()["sites"]
    two = [here | {"name": "Lawn"}, here | {"site": 2, "name": "Yard", "applied_l": 3785.411784}]
    metered = {"used_l": 7570.823568, "known_days": 30, "days": 30, "mixed": False, "sites": [2]}
    metered |= {"in_part": False}
    [line] = summary_words(summary_figures(sites=two, metered=metered))["measured"]
    told = "2,000 gal went through your meters at Yard. The estimate there is 1,000 gal."
    assert line.replace("\u00a0", " ").endswith(told)
    [line] = summary_words(summary_figures(sites=two, metered=metered | {"mixed": True}))["measured"]
    assert "estimate" not in line
    [line] = summary_words(summary_figures(sites=two, metered=metered | {"in_part": True}))["measured"]
    assert line.endswith("at Yard. They count only part of that ground.")


@pytest.mark.parametrize(
    ("detected", "words"), [(True, "saved, give or take"), (False, "no saving can be told")]
)
def test_a_measured_saving_says_how_sure_it_is(detected: bool, words: str):
    measured = {
        "from": "2026-05-30", "through": "2026-06-28", "saved_l": 8000.0, "uncertainty_l": 3000.0,
        "detected": detected,
    }  # fmt: skip
    [line] = summary_words(summary_figures(measured=measured))["measured"]
    assert words in line
    assert "May 30 to June 28" in line.replace("\u00a0", " ")
    assert "2,113 gal" in line.replace("\u00a0", " ")  # 8,000 L


def test_measured_is_that_of_the_site(settings):
    settings.AS_OF = ON
    place = metered()
    first, last = BASELINE
    fit_baseline(meter=place.meter, by=place.garden.owner, first=first, last=last)
    client = place.garden.client
    told = month_figures([client], MONTH)[client.pk]["measured"]
    alone = measured_savings(client, first=MONTH, last=date(2026, 6, 30), on=ON)
    assert alone is not None
    assert (told["saved_l"], told["uncertainty_l"]) == (alone.saved_l, alone.uncertainty_l)
    assert told["detected"] == alone.detected
