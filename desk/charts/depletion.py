"""Water missing from one zone's root zone, day by day, if a program is kept and if it is changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from desk.charts.look import ACCENT, KEEP, NEED, STOP, STOP_WASH, WATER, Drawing, day_axis


@dataclass(frozen=True)
class Limits:
    """Depths in the unit shown: the line zones are held to, the dry limit, all the soil holds."""

    held_to: float
    dry: float
    most: float


def depletion_chart(
    days: Sequence[dict[str, Any]], limits: Limits, *, unit: str, words: tuple[str, str], description: str
) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    days
        ``{day, keep, change, rain}`` in their order; depths in the unit shown.
    limits
        Where the lines lie.
    unit
        ``in`` or ``mm``.
    words
        What the two courses are called, kept first.
    description
        The chart in a sentence.
    """
    drawing = Drawing()
    labels = [str(row["day"]) for row in days]
    deepest = max([limits.dry, *(max(row["keep"], row["change"]) for row in days)])
    bottom = min(limits.most, deepest * 1.12) if limits.most > deepest else deepest * 1.05
    x = day_axis(labels)
    axis = alt.Axis(title=f"missing water, {unit}", tickCount=5)
    scale = alt.Scale(domain=[bottom, 0], nice=False, zero=False, clamp=True)

    def y(field: str) -> alt.Y:
        return alt.Y(f"{field}:Q", scale=scale, axis=axis)

    data = drawing.records(days)
    lines = drawing.records([{"dry": limits.dry, "held": limits.held_to, "bottom": bottom}])
    tips = [
        alt.Tooltip("day:O", title="day"),
        alt.Tooltip("keep:Q", title=words[0], format=".2f" if unit == "in" else ".1f"),
        alt.Tooltip("change:Q", title=words[1], format=".2f" if unit == "in" else ".1f"),
        alt.Tooltip("rain:Q", title=f"rain credited, {unit}", format=".2f" if unit == "in" else ".1f"),
    ]
    base = alt.Chart(data).encode(x=x)
    dots = base.mark_point(filled=True, size=32, opacity=1)
    return drawing.definition(
        [
            alt.Chart(lines).mark_rect(color=STOP_WASH).encode(y=y("dry"), y2="bottom:Q"),
            alt.Chart(lines).mark_rule(color=STOP).encode(y=y("dry")),
            alt.Chart(lines).mark_rule(color=NEED, strokeDash=[5, 4]).encode(y=y("held")),
            base.mark_bar(color=WATER, opacity=0.55).encode(y=y("rain"), y2=alt.datum(0)),
            base.mark_line(color=KEEP, strokeDash=[2, 3], strokeWidth=2).encode(y=y("keep")),
            base.mark_line(color=ACCENT, strokeWidth=2.5).encode(y=y("change")),
            dots.encode(y=y("keep"), color=alt.value(KEEP), tooltip=tips),
            dots.encode(y=y("change"), color=alt.value(ACCENT), tooltip=tips),
        ],
        description=description,
        height=280,
    )
