"""Advice on pages: listed, sorted, narrowed, put aside with a reason, taken up again."""

from copy import copy
from datetime import time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from fleet.models import WateringRule
from scheduling.models import Advice, Program
from scheduling.services.advising import advise, dismiss, open_sites
from tests.cast import TODAY, Cast
from tests.night.garden import ON, Garden, garden, weather


@pytest.fixture
def api() -> APIClient:
    return APIClient()


@pytest.fixture
def heron(db: None, settings) -> Garden:
    settings.AS_OF = ON
    made = garden(minutes=36.0, zones=2, days="mon wed fri sun")
    weather(made.cell)
    made.zones[0].plant, made.zones[0].root_depth_mm = "native", 1200
    made.zones[0].save()
    advise(open_sites())
    return made


def line(cast: Cast, n: int = 1, **fields) -> Advice:
    usual = {
        "kind": "runoff",
        "key": f"runoff:A:{n}",
        "words": f"Zone {n} runs <off>.",
        "litres_week": 100.0 * n,
    }
    dated = {"found_on": TODAY, "looked_on": TODAY}
    return Advice.objects.create(controller=cast.controller, **(usual | dated | fields))


def test_the_list_the_site_and_the_morning_sheet_tell_it(heron: Garden, signed_in):
    web = signed_in(heron.owner)
    text = web.get("/advice/").content.decode()
    assert "Zone among unlike ones" in text
    assert "Lawn 1" in text
    assert "2.5 m³ a week" in text.replace("\u00a0", " ")  # (28.8 - 42 x 0.3 / 0.779) mm on 200 m2
    assert "saves $" in text
    assert "Zone among unlike ones" in web.get(f"/sites/{heron.site.pk}/").content.decode()
    assert "line of advice" in web.get("/").content.decode().replace("\u00a0", " ")


def test_put_aside_with_a_reason_it_comes_back_when_its_water_moves(heron: Garden, signed_in):
    web, row = signed_in(heron.owner), Advice.objects.get()
    assert (
        "Say why" in web.post(f"/advice/{row.pk}/put-aside/", {"why": " \0 "}, follow=True).content.decode()
    )
    web.post(f"/advice/{row.pk}/put-aside/", {"why": "Replanted in autumn <b>"})
    advise(open_sites())
    row.refresh_from_db()
    assert row.dismissed_by == heron.owner
    assert "Lawn 1" not in web.get("/advice/").content.decode()
    assert "Replanted in autumn &lt;b&gt;" in web.get("/advice/?dismissed=1").content.decode()
    heron.zones[0].area_m2 = 300
    heron.zones[0].save()
    advise(open_sites())
    row.refresh_from_db()
    assert row.dismissed_at is None
    assert "Lawn 1" in web.get("/advice/").content.decode()


def test_the_reason_outlives_a_night_without_the_line_and_is_forgotten_after_a_month(heron: Garden):
    row = Advice.objects.get()
    dismiss(advice=row, by=heron.owner, why="Replanted in autumn.")
    days = Program.objects.filter(pk=heron.program.pk)
    days.update(days="tue")
    advise(open_sites(), on=ON)
    row = Advice.objects.get(pk=row.pk)
    assert (row.gone_on, row.dismissed_why) == (ON, "Replanted in autumn.")
    days.update(days="mon wed fri sun")
    advise(open_sites(), on=ON)
    row.refresh_from_db()
    assert (row.gone_on, row.dismissed_by) == (None, heron.owner)
    days.update(days="tue")
    advise(open_sites(), on=ON)
    Advice.objects.update(gone_on=ON - timedelta(days=31))
    advise(open_sites(), on=ON)
    assert not Advice.objects.filter(pk=row.pk).exists()


def test_shown_again_by_hand(heron: Garden, signed_in):
    web, row = signed_in(heron.owner), Advice.objects.get()
    web.post(f"/advice/{row.pk}/put-aside/", {"why": "Later."})
    web.post(f"/advice/{row.pk}/show-again/")
    row.refresh_from_db()
    assert (row.dismissed_at, row.dismissed_why) == (None, "")


def test_sorted_and_narrowed(cast: Cast, signed_in):
    line(cast, 1, risk=2)
    line(cast, 3)
    line(cast, 2, kind="uneven heads", money_year="900", litres_week=None, litres_year=50.0)
    web = signed_in(cast.owner)

    def order(query: str) -> list[str]:
        text = web.get(f"/advice/?{query}").content.decode()
        found = [(text.index(f"Zone {n} runs"), n) for n in (1, 2, 3) if f"Zone {n} runs" in text]
        return [str(n) for _, n in sorted(found)]

    assert order("sort=water") == ["3", "1", "2"]
    assert order("sort=money") == ["2", "1", "3"]
    assert order("sort=risk")[0] == "1"
    assert order("kind=uneven+heads") == ["2"]
    assert order(f"words={cast.client.name.split()[0]}") == ["3", "1", "2"]
    assert order("words=nobody") == []
    assert order("sort=x&kind=y&page=-3&dismissed=z") == ["3", "1", "2"]
    csv = b"".join(web.get("/advice/list.csv?sort=water").streaming_content).decode()
    assert "Gallons saved a week" in csv
    assert csv.count("\n") == 4


def test_a_technician_reads_and_does_not_decide(cast: Cast, signed_in):
    row = line(cast)
    web = signed_in(cast.technician)
    assert "runs &lt;off&gt;" in web.get("/advice/").content.decode()
    assert web.post(f"/advice/{row.pk}/put-aside/", {"why": "No."}).status_code == 403
    assert signed_in(cast.client_person).get("/advice/").status_code == 404


def test_nobody_elses(cast: Cast, stranger, signed_in, api):
    row = line(cast)
    web = signed_in(stranger)
    assert "Zone 1 runs" not in web.get("/advice/").content.decode()
    assert web.post(f"/advice/{row.pk}/put-aside/", {"why": "Mine."}).status_code == 404
    api.force_authenticate(stranger)
    assert api.get("/api/v1/advice/").json()["results"] == []


def test_over_rest(cast: Cast, api):
    row = line(cast, facts={"cycle": 8})
    api.force_authenticate(cast.owner)
    [said] = api.get(f"/api/v1/advice/?client={cast.client.pk}&kind=runoff").json()["results"]
    assert (said["id"], said["litres_week"], said["facts"]) == (row.pk, 100.0, {"cycle": 8})
    assert api.get("/api/v1/advice/?kind=nonsense").status_code == 400


def test_as_many_queries_for_many_lines(cast: Cast, signed_in):
    web = signed_in(cast.owner)
    line(cast, 1)
    with CaptureQueriesContext(connection) as few:
        web.get("/advice/")
    for n in range(2, 40):
        line(cast, n)
    with CaptureQueriesContext(connection) as many:
        web.get("/advice/")
    assert len(many) == len(few)


def test_put_aside_it_comes_back_when_it_is_about_more(heron: Garden):
    rule = WateringRule.objects.create(company=heron.company, name="Town", hours_to=time(3, 20))
    heron.site.watering_rule = rule
    heron.site.save()
    advise(open_sites())
    row = Advice.objects.get(kind="outside the rule")
    dismiss(advice=row, by=heron.owner, why="Known.")
    advise(open_sites())
    row.refresh_from_db()
    assert row.dismissed_at is not None
    rule.weekdays = "tue"
    rule.save()
    advise(open_sites())
    row.refresh_from_db()
    assert row.dismissed_at is None


def test_one_bad_site_stops_no_other(heron: Garden, caplog):
    first, *_ = open_sites()
    bad = copy(first)
    bad.timezone = "Nowhere/At all"
    Advice.objects.all().delete()
    assert advise([bad, first]) == 1
    assert "could not be computed" in caplog.text
