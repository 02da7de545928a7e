"""The definition of a page, drawn for paper: no page's variables left, everything on it drawn."""

import json
import xml.etree.ElementTree as ET

import altair as alt
import pytest

from desk.charts.look import SOIL
from desk.charts.paper import coloured, light, svg
from desk.charts.savings import savings_chart
from tests.desk.test_charts import curve, depletion, sky

ROWS = [
    {"month": month, "course": course, "water": water}
    for month, waters in (("Jun 2026", (31.0, 40.0, 33.0)), ("Jul 2026", (38.0, 40.0, 36.0)))
    for course, water in zip(("applied", "as found", "monthly percents"), waters, strict=True)
]
SAVED = savings_chart(ROWS, unit="m³", description="Water a month.")


@pytest.mark.parametrize("chart", [SAVED, depletion(), curve(), sky()], ids=["saved", "soil", "curve", "sky"])
def test_the_same_definition_is_drawn_in_the_light_colours(chart):
    before = json.dumps(chart)
    alt.LayerChart.from_dict(chart)  # raises where it is no valid definition
    drawing = svg(chart)
    root = ET.fromstring(drawing)
    assert root.tag.endswith("svg")
    assert "var(" not in drawing
    assert light()["rule"] in drawing
    assert json.dumps(chart) == before


def test_every_bar_is_there_in_its_colour():
    drawing = svg(SAVED)
    for colour in ("accent", "keep", "soil"):
        bars = [el for el in ET.fromstring(drawing).iter() if el.get("fill") == light()[colour]]
        assert len(bars) == 2, colour


def test_the_drawing_is_as_wide_as_asked():
    def width(drawing: str) -> float:
        return float(ET.fromstring(drawing).attrib["width"])

    assert width(svg(SAVED, width=400)) - width(svg(SAVED, width=300)) == pytest.approx(100, abs=4)


def test_a_colour_that_is_no_token_is_an_error():
    assert coloured([SOIL]) == [light()["soil"]]
    with pytest.raises(KeyError, match="mud"):
        coloured({"fill": "var(--mud)"})
