"""What was done in a month, in words, by why it was done."""

from datetime import date
from typing import Any

from desk import dates, figures

Lines = list[str]
HEADS = (
    ("weather", "Because of the weather"),
    ("contractor", "Because we decided so"),
    ("repairs", "Mended and looked after"),
    ("wishes", "As you wished"),
)
NIGHTS = {"rain": "because of rain", "freeze": "because of frost", "wind": "because of wind"}
KINDS = {
    "minutes": "run times altered",
    "days": "watering days altered",
    "program": "zones or starts rearranged",
}
MOST = 12


def done_words(done: dict[str, Any], *, units: str) -> list[dict[str, Any]]:
    """Return the groups with anything in them: a head and its lines, twelve at most and how many more."""
    groups = []
    for key, head in HEADS:
        lines = [_line(one, units) for one in done.get(key, [])]
        if lines:
            more = len(lines) - MOST
            groups.append(
                {
                    "head": head,
                    "lines": lines[:MOST] + ([f"and {more} more, on your pages"] if more > 0 else []),
                }
            )
    return groups


def _line(one: dict[str, Any], units: str) -> str:
    on = dates.long_date(date.fromisoformat(one["on"]), units) if one.get("on") else ""
    kind = one["kind"]
    if kind == "percent":
        return f"{_program(one)}: {_percents(one)}{_times(one, on)}"
    if kind == "asked":
        where = f"{one['site']}, {one['controller']}"
        return f"{where}: {_nights(one['nights'])} without water, as you asked: “{one['why']}”"
    if kind in NIGHTS or kind == "wish":
        why = NIGHTS.get(kind, "left out by hand")
        reason = f": {one['why']}" if kind == "wish" and one.get("why") else ""
        return f"{one['site']}, {one['controller']}: {_nights(one['nights'])} without water {why}{reason}"
    if kind == "trim":
        moved = one["factor"] - 1
        size = f"{abs(moved):.0%} {'more' if moved > 0 else 'less'}"
        return f"{one['site']}, zone {one['zone']}: {size} from {on}: {one['why']}"
    if kind == "visit":
        return f"{one['site']}: visit on {on}, {one['what']}"
    if kind == "mended":
        lost = (
            f", which lost about {figures.water(one['lost_l_day'], units)} a day"
            if one.get("lost_l_day")
            else ""
        )
        return f"{one['site']}, zone {one['zone']}: {one['what']} mended on {on}{lost}"
    return f"{_program(one)}: {KINDS[kind]} on {on}: {one['why']}"


def _program(one: dict[str, Any]) -> str:
    name = f" ({one['name']})" if one.get("name") else ""
    box = f", {one['controller']}" if one.get("several") else ""
    return f"{one['site']}{box}, program {one['program']}{name}"


def _percents(one: dict[str, Any]) -> str:
    if one["before"] is None:
        return f"to {one['after']}{figures.NBSP}%"
    return f"from {one['before']} to {one['after']}{figures.NBSP}%"


def _times(one: dict[str, Any], on: str) -> str:
    return f", on {on}" if one["times"] == 1 else f", in {one['times']} steps"


def _nights(count: int) -> str:
    return "one night" if count == 1 else f"{count} nights"
