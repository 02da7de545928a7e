"""Chart definitions: plain records in, colours by the page's names, a text for those who can't see them."""

import json
import re
from typing import Any

import altair as alt
import pytest

from desk.charts.depletion import Limits, depletion_chart
from desk.charts.night import night_chart
from desk.charts.percent_curve import percent_curve
from desk.charts.weather import weather_chart

DAYS = [
    {"day": "Tue 14 Jul", "keep": 12.0, "change": 14.0, "rain": 0.0},
    {"day": "Wed 15 Jul", "keep": 18.0, "change": 22.0, "rain": 3.0},
]
LIMITS = Limits(held_to=18.0, dry=20.0, most=40.0)


def depletion(**more: Any) -> dict[str, Any]:
    usual: dict[str, Any] = {"unit": "mm", "words": ("keep 110 %", "85 %"), "description": "Water missing."}
    return depletion_chart(DAYS, LIMITS, **{**usual, **more})


def curve(**more: Any) -> dict[str, Any]:
    points = [
        {"percent": p, "stress": s, "refused": "" if p < 120 else "no room"}
        for p, s in ((80, 0.2), (100, 0.01), (120, 0.0))
    ]
    usual: dict[str, Any] = {"good_enough": 0.005, "current": 80, "proposed": 100, "description": "Stress."}
    return percent_curve(points, **{**usual, **more})


def sky() -> dict[str, Any]:
    days = [
        {"day": "Tue 14 Jul", "et": 6.0, "rain": 0.0, "kind": "observed", "foreseen": False},
        {"day": "Wed 15 Jul", "et": None, "rain": 2.0, "kind": "forecast", "foreseen": True},
    ]
    return weather_chart(days, unit="mm", description="Weather.")


def night() -> dict[str, Any]:
    rows = [
        {"zone": "1 Lawn", "begin": 660.0, "end": 690.0, "words": "23:00 to 23:30"},
        {"zone": "2 Bed", "begin": 730.0, "end": 750.0, "words": "0:10 to 0:30"},
    ]
    return night_chart(rows, ["1 Lawn", "2 Bed"], edges=[700.0, 1080.0], description="Night.")


def test_a_night_shows_the_hours_it_waters_in():
    layers = night()["layer"]
    assert layers[0]["encoding"]["x"]["scale"]["domain"] == [660, 780]
    assert len(layers) == 3  # bars, the hour that begins inside, midnight


def test_every_chart_is_told_in_words():
    assert [chart["description"] for chart in (depletion(), curve(), sky())] == [
        "Water missing.",
        "Stress.",
        "Weather.",
    ]


def test_charts_take_their_colours_from_the_page():
    for chart in (depletion(), curve(), sky(), night()):
        assert not re.findall(r"#[0-9a-fA-F]{3,8}\"", json.dumps(chart))
        assert "var(--" in json.dumps(chart)


def test_charts_load_no_data_from_anywhere():
    for chart in (depletion(), curve(), sky(), night()):
        assert '"url"' not in json.dumps(chart)


def test_soil_is_full_at_the_top():
    layers = depletion()["layer"]
    domains = [layer["encoding"]["y"]["scale"]["domain"] for layer in layers if "y" in layer["encoding"]]
    assert domains
    assert all(low > high for low, high in domains)


def test_a_zone_that_gets_drier_than_its_limit_still_fits_the_drawing():
    chart = depletion_chart(
        [{"day": "Tue", "keep": 39.0, "change": 39.0, "rain": 0.0}],
        LIMITS,
        unit="mm",
        words=("a", "b"),
        description="",
    )
    assert chart["layer"][0]["encoding"]["y"]["scale"]["domain"][0] >= 39.0


def test_the_curve_marks_where_a_program_is_and_where_it_goes():
    text = json.dumps(curve())
    assert "now 80 %" in text
    assert '"100 %"' in text


def test_a_percent_the_controller_cannot_hold_is_not_marked():
    assert "now 83 %" not in json.dumps(curve(current=83))


def test_every_chart_is_valid():
    for chart in (depletion(), curve(), sky(), night()):
        alt.LayerChart.from_dict(chart)


def test_an_invalid_chart_would_be_found():
    with pytest.raises(Exception, match="no such mark"):
        alt.LayerChart.from_dict(depletion() | {"layer": [{"mark": "no such mark"}]})
