"""Water a month: what was applied beside what both baselines would have used."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk.charts.look import ACCENT, KEEP, SOIL, Drawing

COURSES = ("applied", "as found", "monthly percents")


def savings_chart(
    rows: Sequence[dict[str, Any]], *, unit: str, description: str, courses: Sequence[str] = COURSES
) -> dict[str, Any]:
    """Return the definition.

    Parameters
    ----------
    rows
        ``{month, course, water}``, the courses of a month together; ``course`` is one of ``courses``.
    unit
        Of the water, as shown.
    description
        The chart in a sentence.
    courses
        What is shown beside each other, in their order, three at most.
    """
    drawing = Drawing()
    months = list(dict.fromkeys(str(row["month"]) for row in rows))
    bars = (
        alt.Chart(drawing.records(rows))
        .mark_bar()
        .encode(
            x=alt.X(
                "month:O", sort=None, scale=alt.Scale(domain=months), axis=alt.Axis(title=None, labelAngle=0)
            ),
            xOffset=alt.XOffset("course:N", sort=list(courses)),
            y=alt.Y("water:Q", axis=alt.Axis(title=unit, tickCount=5)),
            color=alt.Color(
                "course:N",
                scale=alt.Scale(domain=list(courses), range=[ACCENT, KEEP, SOIL]),
                legend=None,
            ),
            tooltip=[
                alt.Tooltip("month:O", title="month"),
                alt.Tooltip("course:N", title="course"),
                alt.Tooltip("water:Q", title=unit, format=",.1f"),
            ],
        )
    )
    return drawing.definition([bars], description=description, height=240)
