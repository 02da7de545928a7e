"""Use against the water budget, client by client: estimated and metered beside each other."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from desk import figures
from desk.charts.look import ACCENT, NEED, WATER, Drawing
from reports.selectors.by_client.rows import Line

ESTIMATED, METERED = "estimated", "metered"
A_CLIENT = 34  # pixels


def of_budget(lines: Sequence[Line], *, units: str, span: str) -> dict[str, Any] | None:
    """Return the definition for some clients in their order, None without any."""
    if not lines:
        return None
    rows = [row for n, line in enumerate(lines) for row in _rows(n, line, units)]
    names = [_name(n, line) for n, line in enumerate(lines)]
    drawing = Drawing()
    bars = (
        alt.Chart(drawing.records(rows))
        .mark_bar()
        .encode(
            y=alt.Y(
                "client:N",
                sort=None,
                scale=alt.Scale(domain=names, paddingInner=0.3),
                axis=alt.Axis(
                    title=None, grid=False, labelLimit=150, labelExpr="split(datum.label, '\\u2063')[0]"
                ),
            ),
            yOffset=alt.YOffset("kind:N", sort=[ESTIMATED, METERED]),
            x=alt.X("share:Q", axis=alt.Axis(title="% of the water budget", tickCount=5)),
            color=alt.Color(
                "kind:N",
                scale=alt.Scale(domain=[ESTIMATED, METERED], range=[ACCENT, WATER]),
                legend=None,
            ),
            tooltip=[
                alt.Tooltip("name:N", title="client"),
                alt.Tooltip("kind:N", title="use"),
                alt.Tooltip("share:Q", title="% of budget", format=".0f"),
                alt.Tooltip("water:N", title="used"),
            ],
        )
    )
    line = alt.Chart(drawing.records([{"share": 100}])).mark_rule(color=NEED, strokeDash=[5, 4])
    worst = max(rows, key=lambda row: row["share"])
    description = (
        f"Use against the water budget in {span}, the {len(lines)} highest shares; "
        f"most {worst['name']}, {worst['share']:.0f} % by {worst['kind']} use."
    )
    height = max(A_CLIENT * len(lines), 120)
    return drawing.definition([bars, line.encode(x="share:Q")], description=description, height=height)


def _rows(n: int, line: Line, units: str) -> list[dict[str, Any]]:
    water = line.water
    told = (
        (ESTIMATED, water.of_budget, water.applied_l),
        (METERED, water.metered_of_budget, water.compared_l),
    )
    return [
        {
            "client": _name(n, line),
            "name": line.client.name,
            "kind": kind,
            "share": round(100 * share, 1),
            "water": figures.water(litres, units),
        }
        for kind, share, litres in told
        if share is not None
    ]


def _name(n: int, line: Line) -> str:
    """Return a client's name, told apart from another of the same name by what isn't shown."""
    return f"{line.client.name}\u2063{n}"
