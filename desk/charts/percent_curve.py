"""What every percent would do: mean stress of the worst zone for each step a controller can hold."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import ACCENT, KEEP, NEED, SHEET, SOFT, SOIL, Drawing


def percent_curve(
    points: Sequence[dict[str, Any]],
    *,
    good_enough: float,
    current: int | None,
    proposed: int | None,
    description: str,
) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    points
        ``{percent, stress, refused}`` in rising order of percent; ``refused`` says why it could not be
        chosen, if so.
    good_enough
        The stress up to which a percent counts as doing as well as the best.
    current, proposed
        The percents to mark.
    description
        The chart in a sentence.
    """
    drawing = Drawing()
    x = alt.X("percent:Q", axis=alt.Axis(title="percent", tickCount=6, grid=False))
    y = alt.Y("stress:Q", axis=alt.Axis(title="stress", tickCount=4))
    tips = [
        alt.Tooltip("percent:Q"),
        alt.Tooltip("stress:Q", format=".3f"),
        alt.Tooltip("could:N", title="could be chosen"),
    ]
    shown = [dict(row, could=row["refused"] or "yes") for row in points]
    base = alt.Chart(drawing.records(shown)).encode(x=x, y=y)
    marks = {row["percent"]: row for row in shown}
    line = alt.Chart(drawing.records([{"stress": good_enough}]))
    layers = [
        line.mark_rule(color=NEED, strokeDash=[5, 4]).encode(y=y),
        base.mark_line(color=SOIL, strokeWidth=2),
    ]
    for allowed, fill in ((True, SOIL), (False, SHEET)):
        some = [row for row in shown if (not row["refused"]) == allowed]
        if some:
            points_of = alt.Chart(drawing.records(some)).encode(x=x, y=y, tooltip=tips)
            layers.append(points_of.mark_point(stroke=SOIL, fill=fill, size=24, opacity=1))
    if current in marks:
        place = alt.Chart(drawing.records([marks[current]]))
        layers += _mark(place, f"now {current} %", color=KEEP, words=SOFT, fill=SHEET, dy=-24)
    if proposed in marks:
        place = alt.Chart(drawing.records([marks[proposed]]))
        layers += _mark(place, f"{proposed} %", color=ACCENT, words=ACCENT, fill=ACCENT, dy=-11)
    return drawing.definition(layers, description=description, height=200)


def _mark(place: alt.Chart, text: str, *, color: str, words: str, fill: str, dy: int) -> list[alt.Chart]:
    base = place.encode(x="percent:Q", y="stress:Q")
    return [
        base.mark_point(stroke=color, fill=fill, size=90, strokeWidth=2, opacity=1),
        base.mark_text(text=text, align="left", dx=2, dy=dy, color=words, fontWeight=600),
    ]
