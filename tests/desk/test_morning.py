import re
from datetime import date, timedelta

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Finding, Visit, ZoneEpisode
from scheduling.models import Change, NightlyRunCompany
from tests.cast import TODAY, Cast, a_change, a_program, a_site, a_skip
from tests.desk.rows import a_mixed_week, a_place, changes_at
from tests.night.garden import zone as surveyed
from weather.models import ObservedDay
from weather.services.cells import cell_for


def sheet(web: Client) -> str:
    answer = web.get("/")
    assert answer.status_code == 200
    return re.sub(r"[ \n]+", " ", answer.content.decode())


def settled(cast: Cast) -> None:
    """Take away everything that would need somebody."""
    Change.objects.all().delete()
    cast.zone.delete()
    cell = cell_for(latitude=39.2, longitude=-121.1, elevation_m=310.0, timezone=cast.site.timezone)
    cast.site.cell = cell
    cast.site.save()
    measured(cell, TODAY - timedelta(days=1))


def measured(cell, day: date) -> None:
    ObservedDay.objects.create(cell=cell, date=day, reference_et_mm=6.0, rain_mm=0.0)


def test_the_day_and_what_waits_open_the_sheet(cast: Cast, owner: Client):
    text = sheet(owner)
    assert "<h1>Monday, July\u00a06</h1>" in text
    assert "1 change" in text
    assert "to decide for 1 client;" in text


def test_a_calm_morning_says_so(cast: Cast, owner: Client):
    settled(cast)
    assert "Nothing waits for you." in sheet(owner)


def test_plants_at_risk_are_named_worst_first(cast: Cast, owner: Client):
    box = a_place(cast.company)
    changes_at(box, 1, risk_keep="zone 1 short on Wed", risk_keep_level=1)
    a_change(a_program(box, "W"), risk_keep="zone 9 dry from Tue", risk_keep_level=2)
    text = sheet(owner)
    assert "plants of 2 programs suffer if nothing is done" in text
    assert text.index("zone 9 dry from Tue") < text.index("zone 1 short on Wed")


def test_a_skip_for_tonight_says_until_when(cast: Cast, owner: Client):
    box = a_place(cast.company)
    a_skip(a_program(box, "S", starts=["20:00"]))
    a_skip(
        a_program(box, "T"), effective_from=TODAY + timedelta(days=1), effective_to=TODAY + timedelta(days=1)
    )
    text = sheet(owner)
    assert text.count("skip tonight?") == 1
    assert "Decide by Mon\u00a0Jul\u00a06 6:00\u00a0pm" in text


def test_what_was_approved_long_ago_and_never_entered_is_told(cast: Cast, owner: Client):
    box = a_place(cast.company)
    long_ago = {"status": "approved", "decided": 90, "current": 80}
    a_change(a_program(box, "O"), decided_at="2026-06-27T15:00Z", **long_ago)
    a_change(a_program(box, "N"), decided_at=timezone.now(), **long_ago)
    text = sheet(owner)
    assert text.count("not entered") == 1
    assert "approved Sat\u00a0Jun\u00a027 8:00\u00a0am, the controller still runs 80\u00a0%" in text


def test_a_zone_whose_survey_is_incomplete_says_what_is_missing(cast: Cast, owner: Client):
    cast.zone.delete()
    zone = surveyed(cast.controller, 3, name="Strip", soil="", area_m2=None)
    cast.program.runs.create(zone=zone, minutes=10)
    surveyed(cast.controller, 4, soil="")  # in no program
    text = sheet(owner)
    assert "zone 3 Strip: the survey lacks soil, area." in text
    assert text.count("left out") == 1


def test_a_zone_that_is_looked_after_otherwise_is_not_missed(cast: Cast, owner: Client):
    cast.zone.delete()
    zone = surveyed(cast.controller, 3, soil="")
    cast.program.runs.create(zone=zone, minutes=10)
    ZoneEpisode.objects.create(zone=zone, kind="hand-watered", effective_from=date(2026, 7, 1))
    assert "left out" not in sheet(owner)


def test_late_weather_is_told_with_its_last_day(cast: Cast, owner: Client):
    settled(cast)
    ObservedDay.objects.update(date=TODAY - timedelta(days=3))
    text = sheet(owner)
    assert "weather is late" in text
    assert "known to Fri\u00a0Jul\u00a03, so the night went by the forecast" in text
    ObservedDay.objects.update(date=TODAY - timedelta(days=9))
    assert "so nothing is proposed here" in sheet(owner)


def test_what_is_broken_stands_with_the_water_it_loses(cast: Cast, owner: Client):
    usual = {"zone": cast.zone, "found_on": date(2026, 7, 3)}
    Finding.objects.create(part="drip line", lost_l_day=40.0, **usual)
    Finding.objects.create(part="lateral line", lost_l_day=2300.0, **usual)
    Finding.objects.create(part="valve", status="mended", **usual)
    text = sheet(owner)
    # 2300 L are 607.6 gal at 3.785412 L.
    assert "about 608\u00a0gal a day lost, found Fri\u00a0Jul\u00a03" in text
    assert text.index("lateral line") < text.index("drip line")
    assert "valve" not in text


def test_last_night_is_told_in_its_own_words_with_a_link(cast: Cast, owner: Client):
    NightlyRunCompany.objects.update(words=["Weather is complete.", "One change proposed."])
    text = sheet(owner)
    assert "Weather is complete. One change proposed." in text
    assert f'href="/nights/{cast.run.pk}/"' in text


def test_who_goes_out_today_sees_what_to_enter(cast: Cast, owner: Client):
    box = a_place(cast.company, site="Mill lawn", delivery="on_site")
    a_change(a_program(box), status="approved", decided=90, decided_at=timezone.now(), effect_litres=-3785.41)
    Visit.objects.create(site=box.site, date=TODAY, note="gate code at the office")
    Visit.objects.create(site=cast.site, date=TODAY + timedelta(days=1))
    text = sheet(owner)
    assert "1 to enter" in text
    assert "−1,000\u00a0gal a week" in text
    assert "gate code at the office" in text
    assert "?view=enter&amp;words=Mill%20lawn" in text


def test_a_closed_site_asks_for_nothing(cast: Cast, owner: Client):
    settled(cast)
    a_site(cast.client, "Shut", season="closed")
    assert "Nothing waits for you." in sheet(owner)


def test_the_sheet_takes_as_many_queries_for_a_big_company_as_for_a_small(cast: Cast, owner: Client):
    a_mixed_week(cast.company, clients=2)
    Visit.objects.create(site=cast.site, date=TODAY)
    with CaptureQueriesContext(connection) as few:
        sheet(owner)
    for n in range(10):
        box = a_place(cast.company, client=f"More {n}", site=f"More {n}")
        changes_at(box, 2, risk_keep="dry", risk_keep_level=2)
        a_skip(a_program(box, "S"))
        a_change(a_program(box, "O"), status="approved", decided=90, decided_at="2026-06-20T15:00Z")
        Visit.objects.create(site=box.site, date=TODAY)
        Finding.objects.create(zone=box.zones.first(), part="valve", found_on=TODAY)
    with CaptureQueriesContext(connection) as many:
        sheet(owner)
    assert len(many) == len(few) <= 37


def test_a_long_list_is_cut_and_says_how_much_more_there_is(cast: Cast, owner: Client):
    box = a_place(cast.company)
    for n in range(9):
        a_skip(a_program(box, f"S{n}", starts=["20:00"]))
    text = sheet(owner)
    assert text.count("skip tonight?") == 6
    assert '<a href="/week/?view=skips">3 more skips for tonight</a>' in text
