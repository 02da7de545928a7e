"""A meter's bills beside what its baseline says of each: those it was fitted on, then those that count."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import ACCENT, KEEP, SOFT, Drawing


def baseline_chart(rows: Sequence[dict[str, Any]], *, unit: str, description: str) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    rows
        ``{day, used, expected, counts}`` in order of time; ``day`` labels the bill, amounts as shown.
    unit
        Of the water, as shown.
    description
        The chart in a sentence.
    """
    drawing = Drawing()
    data = drawing.records(rows)
    labels = [str(row["day"]) for row in rows]
    every = max(1, -(-len(labels) // 6))
    ticks = alt.Axis(title=None, labelAngle=0, values=labels[::every], labelOverlap="greedy", grid=False)
    scale = alt.Scale(type="point", domain=labels, padding=0.4)
    x = alt.X("day:O", sort=None, axis=ticks, scale=scale)
    axis = alt.Axis(title=f"{unit} a bill", tickCount=5)
    tips = [
        alt.Tooltip("day:O", title="bill to"),
        alt.Tooltip("used:Q", title=f"used, {unit}", format=",.1f"),
        alt.Tooltip("expected:Q", title=f"baseline, {unit}", format=",.1f"),
    ]
    layers: list[Any] = [
        alt.Chart(data)
        .mark_line(color=KEEP, strokeWidth=2, strokeDash=[5, 3])
        .encode(x=x, y=alt.Y("expected:Q", axis=axis)),
        alt.Chart(data).mark_line(color=ACCENT, strokeWidth=1).encode(x=x, y=alt.Y("used:Q", axis=axis)),
        alt.Chart(data)
        .mark_point(color=ACCENT, filled=True, size=36, opacity=1)
        .encode(x=x, y=alt.Y("used:Q", axis=axis), tooltip=tips),
    ]
    first = next((row for row in rows if row["counts"]), None)
    if first is not None:
        line = alt.Chart(drawing.records([first])).encode(x=x)
        layers.append(line.mark_rule(color=SOFT, strokeDash=[2, 3], xOffset=-6))
    return drawing.definition(layers, description=description, height=240)
