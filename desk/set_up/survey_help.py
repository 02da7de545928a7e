"""How to tell plants, heads, soil, slope and the rest in the garden, in plain words, with sources.

The feel of soils follows the ribbon test that extension services and the NRCS teach (sand falls apart, a
ribbon under 2.5 cm is loam, 2.5 to 5 cm clay loam, longer clay); lengths from memory.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from desk.set_up.columns import Column
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS
from fleet.numerics.sun import SUNS

KNOWN = (("measured", "seen or measured"), ("table", "from a table"), ("assumed", "assumed"))
CANS = (("measured", "caught in cans"), ("table", "from a table, or computed"), ("assumed", "assumed"))


@dataclass(frozen=True)
class Help:
    """How to tell a value in the garden, and the drawing beside it, if there is one."""

    words: str
    drawing: str = ""


HELP: dict[str, Help] = {
    "plant": Help(
        "What covers most of the ground decides. Cool-season grass (fescue, bluegrass, rye) stays "
        "green in a mild winter and has fine, soft blades; warm-season grass (Bermuda, zoysia) turns "
        "straw-coloured with the first frosts and creeps with runners. Where thirsty and thrifty "
        "plants share a valve, write down the thirsty one.",
        "plants",
    ),
    "head": Help(
        "Spray: stands still, a fan of fine water, up to 15 ft (4.5 m). Rotor: one or two streams "
        "that turn slowly, 15 ft and more. Rotary nozzle: many thin fingers that turn, on a spray "
        "body. Impact: an arm that clacks. Micro-spray: small, on stakes. Bubbler: floods a basin. "
        "Drip: nothing flies.",
        "heads",
    ),
    "soil": Help(
        "Take a handful from root depth, wet it and knead it until it feels like putty. Squeeze: if "
        "it falls apart it is sand. If it holds together but makes no ribbon between thumb and "
        "finger, loamy sand. Press a ribbon: shorter than 1 in (2.5 cm) before it breaks is loam, "
        "gritty sandy loam; 1 to 2 in is clay loam; longer than 2 in is clay, smooth and not gritty "
        "silty clay.",
        "ribbon",
    ),
    "sun": Help(
        "Full sun: six hours and more on a summer day, walls and paving nearby count towards it. Part "
        "shade: three to six hours, or light under open trees. Shade: less. Common practice, no "
        "source.",
    ),
    "slope": Help(
        "Lay a straight board downhill, hold its low end up until a level says it is level, measure "
        "the gap under that end. Gap over length of the board, both in the same unit, times 100, is "
        "the slope in percent.",
        "board",
    ),
    "area": Help(
        "What the heads wet, not the whole garden. Measure rectangles, triangles and circles and add "
        "them up; paces do for a first look, then say it is assumed.",
        "shapes",
    ),
    "root": Help(
        "Cut a plug with a spade and see how deep most living roots go. Nobody has looked: the "
        "table's depth. Call before you dig: gas, power and water lines are marked free of charge by "
        "the local service.",
    ),
    "rate": Help(
        "How fast the zone waters. Best by cans on the ground; else from flow and area, or from "
        "spacing; else the table's usual rate for the heads.",
    ),
    "uniformity": Help(
        "How even: the driest quarter's share of the mean. Caught in cans, else the table's for the "
        "heads in good order.",
    ),
    "wetted": Help(
        "The share of the bed's ground that drip or bubblers wet; 100 % for all that sprays.",
    ),
    "flow": Help(
        "Read the meter before and after a few minutes with only this zone running. Flow and area "
        "give the rate.",
    ),
}


Row = tuple[str, str, str, str]


def sources_of(column: Column, units: str) -> list[Row]:
    """Return the rows of the tables behind a field: name, value, source and its standing."""

    def rows(table: Mapping[str, Any], field: str, said: Callable[[Any], str]) -> list[Row]:
        found = [(row.name, getattr(row, field)) for row in table.values()]
        return [(name, said(one.value), one.source, one.standing) for name, one in found]

    def amount(value: float) -> str:
        return f"{column.text(value, units)} {column.unit(units)}"

    match column.key:
        case "plant":
            return rows(PLANTS, "coefficient", lambda months: f"{max(months):g} in its thirstiest month")
        case "soil":
            return rows(SOILS, "capacity", lambda share: f"holds {share:g} of its depth")
        case "sun":
            return rows(SUNS, "microclimate", lambda factor: f"× {factor:g}")
        case "root":
            return rows(PLANTS, "root_depth_mm", amount)
        case "rate":
            return rows(HEADS, "rate_mm_h", amount)
        case "uniformity":
            return rows(HEADS, "uniformity", amount)
    return []
