"""Small sums on the survey page: area, slope and rate from what a tape, a board or a box of nozzles says."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from common.errors import Refused
from desk.set_up.amounts import AREA, EMITTER, LENGTH, RATE, SLOPE, SPACING, ZONE_FLOW, Amount, whole_between
from desk.set_up.form import kept
from fleet.numerics.areas import circle, rectangle, slope_from_board, triangle
from fleet.numerics.precipitation import rate_from_flow, rate_from_spacing, rate_of_dripline

_count = whole_between(1, 10_000)


@dataclass(frozen=True)
class Input:
    """One figure a sum asks for."""

    key: str
    label: str
    amount: Amount | None  # None: a count


@dataclass(frozen=True)
class Sum:
    """One way to a value of the survey, with what it rests on in words."""

    key: str
    target: str
    label: str
    words: str
    inputs: tuple[Input, ...]
    result: Amount
    work: Callable[..., Any]


@dataclass(frozen=True)
class Worked:
    """A sum with what was typed and what came of it."""

    sum: Sum
    inputs: list[dict[str, str]]
    unit: str
    text: str = ""
    error: str = ""


def _emitters(count: int, flow_l_h: float, area_m2: float) -> Any:
    return rate_from_flow(count * flow_l_h / 60.0, area_m2)


def _sum(key: str, label: str, words: str, *inputs: Input, target: str, work: Callable[..., Any]) -> Sum:
    results = {"area": AREA, "slope": SLOPE, "rate": RATE}
    return Sum(key, target, label, words, inputs, results[target], work)


SUMS = (
    _sum(
        "rect",
        "A rectangle",
        "length × width",
        Input("a", "Length", LENGTH),
        Input("b", "Width", LENGTH),
        target="area",
        work=rectangle,
    ),
    _sum(
        "tri",
        "A triangle",
        "from its three sides; cut odd shapes into triangles and add them up",
        Input("a", "Side", LENGTH),
        Input("b", "Side", LENGTH),
        Input("c", "Side", LENGTH),
        target="area",
        work=triangle,
    ),
    _sum(
        "circle",
        "A circle",
        "π × radius × radius",
        Input("r", "Radius", LENGTH),
        target="area",
        work=circle,
    ),
    _sum(
        "board",
        "A board and a level",
        "gap under the low end ÷ length of the board",
        Input("rise", "Gap under the low end", SPACING),
        Input("run", "Length of the board", LENGTH),
        target="slope",
        work=slope_from_board,
    ),
    _sum(
        "flow",
        "By flow and area",
        "60 × L/min ÷ m²; in US units 96.25 × gpm ÷ ft²",
        Input("flow", "Flow of the whole zone", ZONE_FLOW),
        Input("area", "Area", AREA),
        target="rate",
        work=rate_from_flow,
    ),
    _sum(
        "heads",
        "By the spacing of the heads",
        "flow of one full circle ÷ (spacing × rows); a half circle counts twice its flow, a quarter 4 times",
        Input("flow", "Flow of one full circle", ZONE_FLOW),
        Input("head", "Head to head", LENGTH),
        Input("row", "Row to row", LENGTH),
        target="rate",
        work=rate_from_spacing,
    ),
    _sum(
        "dripline",
        "Dripline",
        "flow of one emitter ÷ (emitter spacing × row spacing)",
        Input("flow", "Flow of one emitter", EMITTER),
        Input("emitter", "Emitter to emitter", SPACING),
        Input("row", "Row to row", SPACING),
        target="rate",
        work=rate_of_dripline,
    ),
    _sum(
        "emitters",
        "Single emitters",
        "all emitters together ÷ area of the whole bed; give the share of ground wetted beside it",
        Input("count", "Emitters", None),
        Input("flow", "Flow of one", EMITTER),
        Input("area", "Area of the bed", AREA),
        target="rate",
        work=_emitters,
    ),
)
BY_KEY = {one.key: one for one in SUMS}


def names() -> list[str]:
    """Return the names of all inputs."""
    return [f"{one.key}-{item.key}" for one in SUMS for item in one.inputs]


def posted_sums(post: Any) -> dict[str, str]:
    """Return what was typed into the sums; empty inputs are left out."""
    texts = {name: kept(str(post.get(f"sum-{name}", "")))[:40].strip() for name in names()}
    return {name: text for name, text in texts.items() if text}


def worked(texts: Mapping[str, str], units: str) -> list[Worked]:
    """Return every sum with its result where all it asks for was typed."""
    return [_worked(one, texts, units) for one in SUMS]


def _worked(one: Sum, texts: Mapping[str, str], units: str) -> Worked:
    inputs = [
        {
            "name": f"sum-{one.key}-{item.key}",
            "label": item.label,
            "unit": item.amount.unit(units) if item.amount else "",
            "text": texts.get(f"{one.key}-{item.key}", ""),
        }
        for item in one.inputs
    ]
    unit = one.result.unit(units)
    try:
        values = [_read(item, texts.get(f"{one.key}-{item.key}", ""), units) for item in one.inputs]
        if None in values:
            return Worked(one, inputs, unit)
        value = float(one.work(*values))
        text = one.result.text(value, units)
        one.result.read(text, units)
    except Refused as refused:
        return Worked(one, inputs, unit, error=refused.message)
    except ValueError as error:
        return Worked(one, inputs, unit, error=f"{str(error)[:1].upper()}{str(error)[1:]}.")
    return Worked(one, inputs, unit, text=text)


def _read(item: Input, text: str, units: str) -> float | None:
    return item.amount.read(text, units) if item.amount else _count(text)
