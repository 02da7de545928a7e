import json
import re
from typing import Any

import pytest
from django.test import Client

from desk.why_words import ET_METHODS
from scheduling.models import Change
from scheduling.selectors.why import read_inputs
from scheduling.services.decisions import approve
from scheduling.services.nightly import run_night
from tests.cast import Cast, a_skip
from tests.desk.rows import inputs_of
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather
from weather.models import ObservedDay
from weather.numerics.reference_et import METHODS
from weather.services.reference_et import HOURLY


@pytest.fixture
def explained(cast: Cast) -> Change:
    change = cast.change
    change.inputs = inputs_of(cast.zone)
    change.current, change.proposed = 120, 100
    change.save()
    return change


def page(web: Client, change: Change, query: str = "") -> str:
    answer = web.get(f"/changes/{change.pk}/{query}")
    assert answer.status_code == 200
    return re.sub(r"[ \n]+", " ", answer.content.decode())


def spec(text: str, name: str) -> dict[str, Any]:
    found = re.search(rf'<script id="{name}" type="application/json">(.*?)</script>', text)
    assert found
    return json.loads(found[1])


def test_the_page_tells_every_step_with_its_number(explained: Change, owner: Client):
    text = page(owner, explained)
    for words in (
        "Plants use",
        "Soil can give",
        "Rain gives",
        "Left to water",
        "the program gives",
        "So about",
    ):
        assert words in text
    # 36 mm, 25.2 mm and 30 mm in inches of 25.4 mm.
    for figure in ("1.42\u00a0in", "0.99\u00a0in", "1.18\u00a0in", "84\u00a0%"):
        assert f"<b>{figure}</b>" in text


def test_the_page_tells_what_being_wrong_would_do(explained: Change, owner: Client):
    text = page(owner, explained).replace("\u00a0", " ")
    for words in (
        "Only 80 % of the water believed",
        "The soil holds 75 %",
        "begins to slow on the first day",
    ):
        assert words in text


def test_metric_companies_read_millimetres(cast: Cast, explained: Change, owner: Client):
    cast.company.units = "metric"
    cast.company.save()
    text = page(owner, explained)
    assert "<b>36\u00a0mm</b>" in text
    assert "missing water, mm" in json.dumps(spec(text, "chart-depletion"))


def test_each_chart_has_a_text_and_a_table_behind_it(explained: Change, owner: Client):
    text = page(owner, explained)
    depletion, curve = spec(text, "chart-depletion"), spec(text, "chart-curve")
    assert "Water missing from zone 1 over 6 days" in depletion["description"]
    assert "100 % is the smallest that does well enough." in curve["description"]
    assert text.count("as a table") == 2
    assert '<th scope="row">Tue\u00a0Jul\u00a07</th> <td class="num">0.39\u00a0in</td>' in text


def test_an_assumption_says_what_its_being_wrong_would_mean(explained: Change, owner: Client):
    assert "Were it 10 points lower, about 110 % would be right." in page(owner, explained)


def test_weather_says_how_each_day_is_known_and_whose_it_is(explained: Change, owner: Client):
    text = page(owner, explained)
    assert "Measured to Sun\u00a0Jul\u00a05." in text
    assert "Invented weather" in text
    assert "70\u00a0% is believed, and 80\u00a0% of that reaches the roots" in text
    assert text.count("<td>forecast</td>") == 6


def test_another_zone_can_be_looked_at(cast: Cast, explained: Change, owner: Client):
    other = dict(explained.inputs["units"][0], zone=999, number=7, name="Far bed", start_mm=0.0)
    explained.inputs["units"].append(other)
    explained.save()
    assert 'href="?zone=999"' in page(owner, explained)
    text = page(owner, explained, "?zone=999")
    assert "Zone 7 does not decide." in text
    assert "Water missing from zone 7, Far bed" in text


@pytest.mark.parametrize("zone", ["x", "-1", "0", "9" * 40])
def test_a_made_up_zone_shows_the_deciding_one(explained: Change, owner: Client, zone):
    assert "Zone 1 decides" in page(owner, explained, f"?zone={zone}")


def test_history_tells_every_step_with_who_took_it(cast: Cast, explained: Change, owner: Client):
    owner.post(f"/changes/{explained.pk}/approve/", {"value": "95"})
    owner.post(f"/changes/{explained.pk}/undo/", {})
    text = page(owner, explained)
    assert "approved, not yet entered, 95\u00a0%" in text
    assert "taken back" in text
    assert text.count("Owner of Larkspur Irrigation") >= 2


def test_deciding_here_leads_back_here(explained: Change, owner: Client):
    answer = owner.post(f"/changes/{explained.pk}/approve/", {"value": "95", "from": "why"})
    assert answer["Location"] == f"/changes/{explained.pk}/"
    assert "Entered at the controller" in page(owner, explained)


@pytest.mark.parametrize(
    ("action", "data", "message"),
    [
        ("approve", {"value": "93"}, "This controller holds steps of 5 %."),
        ("decline", {"note": ""}, "Say in a few words why"),
    ],
)
def test_what_cannot_be_taken_is_told_here(explained: Change, owner: Client, action, data, message):
    answer = owner.post(f"/changes/{explained.pk}/{action}/", {**data, "from": "why"})
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert "<h1>" in answer.content.decode()


def test_a_wrong_date_for_entering_is_told_here(explained: Change, owner: Client):
    owner.post(f"/changes/{explained.pk}/approve/", {})
    answer = owner.post(f"/changes/{explained.pk}/enter/", {"applied_on": "soon", "from": "why"})
    assert answer.status_code == 422
    assert "Type the date as year-month-day" in answer.content.decode()


def test_somebody_who_was_faster_is_told_here(cast: Cast, explained: Change, owner: Client):
    approve(change=Change.objects.get(pk=explained.pk), by=cast.office, value=110)
    answer = owner.post(f"/changes/{explained.pk}/approve/", {"value": "95", "from": "why"})
    assert answer.status_code == 409
    assert "nothing was overwritten" in answer.content.decode()


def test_a_change_whose_inputs_were_not_kept_still_has_its_page(cast: Cast, owner: Client):
    assert "was not stored with it" in page(owner, cast.change)


def test_a_skip_tells_rain_and_soil(cast: Cast, owner: Client):
    inputs = inputs_of(cast.zone, percents=[100], stress=[], allowed=[])
    inputs["skip"] = {
        "night": "2026-07-06",
        "next_water_day": 3,
        "rain_window_mm": 12.7,
        "rain_counted_mm": 7.0,
        "reason_kind": "rain",
        "t_min_c": 12.0,
        "wind_2m_m_s": 1.0,
    }
    skip = a_skip(cast.program, inputs=inputs, effective_to="2026-07-06")
    text = page(owner, skip)
    assert "skip Mon night" in text
    assert "<b>0.50\u00a0in</b>" in text
    assert "0.28\u00a0in of it counts" in text
    assert "chart-curve" not in text


class TestARealNight:
    """The page of a change the night itself computed."""

    @pytest.fixture
    def heron(self, db: None, settings: Any) -> Garden:
        settings.AS_OF = ON
        settings.WEATHER_SOURCE = "invented"
        made = garden(minutes=40.0, zones=2, percent=170)
        weather(made.cell)
        run_night(on=ON, timezone=TIMEZONE)
        return made

    def test_its_zones_fare_as_the_night_computed_them(self, heron: Garden, signed_in):
        change = Change.objects.get(kind="percent")
        stored = change.inputs.pop("traces", None) or {str(change.deciding_zone_id): change.inputs["trace"]}
        change.inputs.pop("trace")
        seen = read_inputs(change.inputs)
        for zone in seen.zones:
            if str(zone.pk) in stored:
                fate = seen.fate(zone)
                assert list(fate.keep) == pytest.approx(stored[str(zone.pk)]["keep"], abs=1e-9)
                assert list(fate.change) == pytest.approx(stored[str(zone.pk)]["change"], abs=1e-9)

    def test_nothing_stands_beside_it_while_nothing_moved(self, heron: Garden, signed_in):
        change = Change.objects.get(kind="percent")
        assert "Computed again today" not in page(signed_in(heron.owner), change)

    def test_todays_computation_stands_beside_it_when_the_weather_moved(self, heron: Garden, signed_in):
        change = Change.objects.get(kind="percent")
        ObservedDay.objects.filter(date__gte="2026-07-10").update(reference_et_mm=9.0)
        text = page(signed_in(heron.owner), change)
        assert "Computed again today" in text
        assert "missing from zone" in text


def test_a_change_that_was_replaced_leads_to_the_later_one(explained: Change, owner: Client):
    Change.objects.filter(pk=explained.pk).update(status="superseded")
    later = Change.objects.create(
        program=explained.program, kind="percent", current=120, proposed=90, effective_from="2026-07-06"
    )
    assert f'href="/changes/{later.pk}/">See the later one' in page(owner, explained)


@pytest.mark.parametrize(
    ("method", "words"),
    [
        ("hourly asce-ewri", "Reference ET by the hour, ASCE-EWRI."),
        ("penman-monteith", "Reference ET by Penman-Monteith from all inputs."),
        ("penman-monteith, no radiation/wind", "Reference ET by Penman-Monteith without radiation/wind."),
        ("hargreaves-samani", "Reference ET by Hargreaves-Samani, from temperatures alone."),
    ],
)
def test_the_weather_behind_it_says_how_reference_et_was_found(
    explained: Change, owner: Client, method, words
):
    explained.inputs["weather"] = explained.inputs.get("weather", {}) | {"et_method": method}
    explained.save()
    assert words in page(owner, explained)


def test_every_method_a_day_may_have_has_words():
    assert set(ET_METHODS) == {*METHODS, HOURLY} - {"none"}
