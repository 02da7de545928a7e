"""A night valve by valve: each zone's cycles from noon to noon, and the hours watering is allowed."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import SOFT, STOP, WATER, Drawing

ROW = 22
_HOURS = "(floor(datum.value / 60) + 12) % 24 + ':00'"


def night_chart(
    openings: Sequence[dict[str, Any]], zones: Sequence[str], *, edges: Sequence[float], description: str
) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    openings
        ``{zone, begin, end, words}``: minutes after noon, and when in words.
    zones
        Names of the zones, from the top.
    edges
        Where the hours allowed begin and end, in minutes after noon.
    description
        The chart in a sentence.
    """
    drawing = Drawing()
    first = min((row["begin"] for row in openings), default=0.0)
    last = max((row["end"] for row in openings), default=1440.0)
    shown = [first // 60 * 60, -(-last // 60) * 60]
    every = 60 if shown[1] - shown[0] <= 720 else 120
    values = list(range(int(shown[0]), int(shown[1]) + 1, every))
    x = alt.X(
        "begin:Q",
        scale=alt.Scale(domain=shown, nice=False, zero=False),
        axis=alt.Axis(title=None, values=values, labelExpr=_HOURS, labelOverlap="greedy"),
    )
    y = alt.Y(
        "zone:N",
        sort=None,
        scale=alt.Scale(domain=list(zones)),
        axis=alt.Axis(title=None, labelLimit=110, ticks=False, domain=False),
    )
    tips = [alt.Tooltip("zone:N"), alt.Tooltip("words:N", title="open")]
    bars = alt.Chart(drawing.records(openings)).mark_bar(color=WATER, height=11)
    layers = [bars.encode(x=x, x2="end:Q", y=y, tooltip=tips)]
    inside = [{"begin": edge} for edge in edges if shown[0] < edge < shown[1]]
    if inside:
        limit = alt.Chart(drawing.records(inside)).mark_rule(color=STOP, strokeDash=[5, 4])
        layers.append(limit.encode(x=x))
    if shown[0] < 720 < shown[1]:
        midnight = alt.Chart(drawing.records([{"begin": 720.0}])).mark_rule(color=SOFT, opacity=0.6)
        layers.append(midnight.encode(x=x))
    return drawing.definition(layers, description=description, height=max(80, ROW * len(zones)))
