"""Reference ET and rain of a site: a month of days that are over and a week that is foreseen."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import SOFT, SOIL, WATER, day_axis, definition, records


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
    digits = ".2f" if unit == "in" else ".1f"
    tips = [
        alt.Tooltip("day:O", title="day"),
        alt.Tooltip("et:Q", title=f"reference ET, {unit}", format=digits),
        alt.Tooltip("rain:Q", title=f"rain, {unit}", format=digits),
        alt.Tooltip("kind:N", title="how known"),
    ]
    axis = alt.Axis(title=f"{unit} a day", tickCount=5)
    x = day_axis([str(row["day"]) for row in days])
    base = alt.Chart(records(days)).encode(x=x)
    seen, foreseen = base.transform_filter("!datum.foreseen"), base.transform_filter("datum.foreseen")
    rain, et = alt.Y("rain:Q", axis=axis), alt.Y("et:Q", axis=axis)
    layers = [
        seen.mark_bar(color=WATER).encode(y=rain, tooltip=tips),
        foreseen.mark_bar(color=WATER, opacity=0.45).encode(y=rain, tooltip=tips),
        base.mark_line(color=SOIL, strokeWidth=2).encode(y=et),
        seen.mark_point(color=SOIL, filled=True, size=26, opacity=1).encode(y=et, tooltip=tips),
        foreseen.mark_point(stroke=SOIL, filled=False, size=26, opacity=1).encode(y=et, tooltip=tips),
    ]
    first = next((row for row in days if row["foreseen"]), None)
    if first is not None:
        line = alt.Chart(records([first])).encode(x=x)
        layers.append(line.mark_rule(color=SOFT, strokeDash=[2, 3], xOffset=-6))
    return definition(layers, description=description, height=220)
