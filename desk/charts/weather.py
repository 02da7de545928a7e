"""Reference ET and rain of a site: a month of days that are over and a week that is foreseen."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import SOFT, SOIL, WATER, Drawing, day_axis


def weather_chart(days: Sequence[dict[str, Any]], *, unit: str, description: str) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    days
        ``{day, et, rain, kind, foreseen}`` in their order; depths in the unit shown, None where unknown.
    unit
        ``in`` or ``mm``.
    description
        The chart in a sentence.
    """
    drawing = Drawing()
    digits = ".2f" if unit == "in" else ".1f"
    tips = [
        alt.Tooltip("day:O", title="day"),
        alt.Tooltip("et:Q", title=f"reference ET, {unit}", format=digits),
        alt.Tooltip("rain:Q", title=f"rain, {unit}", format=digits),
        alt.Tooltip("kind:N", title="how known"),
    ]
    axis = alt.Axis(title=f"{unit} a day", tickCount=5)
    x = day_axis([str(row["day"]) for row in days])
    rain, et = alt.Y("rain:Q", axis=axis), alt.Y("et:Q", axis=axis)
    layers: list[Any] = [
        alt.Chart(drawing.records(days)).mark_line(color=SOIL, strokeWidth=2).encode(x=x, y=et)
    ]
    for foreseen, strength in ((False, 1.0), (True, 0.45)):
        some = [day for day in days if day["foreseen"] == foreseen]
        if some:
            base = alt.Chart(drawing.records(some)).encode(x=x, tooltip=tips)
            dots = base.mark_point(
                stroke=SOIL, fill=SOIL, fillOpacity=0 if foreseen else 1, size=26, opacity=1
            )
            layers += [base.mark_bar(color=WATER, opacity=strength).encode(y=rain), dots.encode(y=et)]
    first = next((row for row in days if row["foreseen"]), None)
    if first is not None:
        line = alt.Chart(drawing.records([first])).encode(x=x)
        layers.append(line.mark_rule(color=SOFT, strokeDash=[2, 3], xOffset=-6))
    return drawing.definition(layers, description=description, height=220)
