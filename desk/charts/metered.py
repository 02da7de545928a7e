"""Water a month as a meter counted it; months of which days are missing are lighter."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from common import units as convert
from desk import figures
from desk.charts.look import KEEP, WATER, Drawing
from fleet.selectors.meter_months import MeterMonth

WHOLE, PART = "all days known", "some days known"


def metered_chart(months: Sequence[MeterMonth], *, units: str, name: str) -> dict[str, Any]:
    """Return the definition of a meter's months, oldest first."""
    per, unit = (convert.L_PER_GALLON * 1000, "1,000 gal") if units == "us" else (convert.L_PER_M3, "m³")
    rows = [
        {
            "month": f"{one.first:%b} {one.first:%y}",
            "water": round(one.litres / per, 3),
            "known": WHOLE if one.whole else PART,
            "days": f"{one.known_days} of {one.days}",
        }
        for one in months
    ]
    labels = [str(row["month"]) for row in rows]
    every = max(1, -(-len(labels) // 8))
    axis = alt.Axis(title=None, labelAngle=0, values=labels[::every], labelOverlap="greedy", grid=False)
    drawing = Drawing()
    bars = (
        alt.Chart(drawing.records(rows))
        .mark_bar()
        .encode(
            x=alt.X("month:O", sort=None, scale=alt.Scale(domain=labels), axis=axis),
            y=alt.Y("water:Q", axis=alt.Axis(title=unit, tickCount=5)),
            color=alt.Color(
                "known:N", scale=alt.Scale(domain=[WHOLE, PART], range=[WATER, KEEP]), legend=None
            ),
            tooltip=[
                alt.Tooltip("month:O", title="month"),
                alt.Tooltip("water:Q", title=unit, format=",.1f"),
                alt.Tooltip("days:N", title="days known"),
            ],
        )
    )
    total = figures.water(sum(one.litres for one in months), units)
    description = f"Water a month through {name}, {labels[0]} to {labels[-1]}: {total} in all."
    return drawing.definition([bars], description=description, height=200)
