"""What all charts share: the page's own colours by name, quiet axes, and a text for those who can't see it.

A chart is defined here with plain records in and a Vega-Lite definition out; it is drawn in the browser.
Colours are CSS variables, which the drawing keeps as they are: light, dark and print follow the page.
"""

from collections.abc import Sequence
from functools import cache
from typing import Any

import altair as alt

SOFT, RULE, INK = "var(--soft)", "var(--rule)", "var(--ink)"
ACCENT, KEEP, WATER, SOIL = "var(--accent)", "var(--keep)", "var(--water)", "var(--soil)"
NEED, STOP, STOP_WASH, SHEET = "var(--need)", "var(--stop)", "var(--stop-wash)", "var(--sheet)"

# The Vega-Lite version definitions are written for, as ``6.1``.
VEGA_LITE = ".".join(alt.SCHEMA_VERSION.removeprefix("v").split(".")[:2])


class Drawing:
    """One chart in the making: its tables of plain records, which layers refer to by name.

    Altair copies and looks through whatever it is given with every layer; records are kept out of its way.
    """

    def __init__(self) -> None:
        self._tables: dict[str, list[dict[str, Any]]] = {}

    def records(self, rows: Sequence[dict[str, Any]]) -> alt.NamedData:
        """Return plain records as a layer's data."""
        name = f"table-{len(self._tables) + 1}"
        self._tables[name] = list(rows)
        return alt.NamedData(name)

    def definition(self, layers: Sequence[Any], *, description: str, height: int = 240) -> dict[str, Any]:
        """Return the definition of some layers laid over each other, as wide as its place."""
        drawn = [layer.to_dict(validate=False) for layer in layers]  # tests validate every kind of chart
        return {
            "$schema": alt.SCHEMA_URL,
            "config": _quiet(),
            "width": "container",
            "height": height,
            "background": "transparent",
            "description": description,
            "layer": [{k: v for k, v in one.items() if k not in ("$schema", "config")} for one in drawn],
            "datasets": self._tables,
        }


@cache
def _quiet() -> dict[str, Any]:
    """Return the configuration of every chart: axes that stay in the background."""
    chart = (
        alt.Chart(alt.NamedData("none"))
        .mark_point()
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=SOFT,
            titleColor=SOFT,
            gridColor=RULE,
            domainColor=RULE,
            tickColor=RULE,
            labelFontSize=12,
            titleFontSize=12,
            titleFontWeight="normal",
        )
        .configure_text(fontSize=12, color=SOFT)
    )
    config: dict[str, Any] = chart.to_dict()["config"]
    return config


def day_axis(labels: Sequence[str]) -> alt.X:
    """Return an axis of days in their order; where they are many, every so many-th has its label."""
    every = max(1, -(-len(labels) // 8))
    axis = alt.Axis(title=None, labelAngle=0, values=list(labels[::every]), labelOverlap="greedy", grid=False)
    scale = alt.Scale(domain=list(labels), paddingInner=0.35, paddingOuter=0.4)
    return alt.X("day:O", sort=None, axis=axis, scale=scale)
