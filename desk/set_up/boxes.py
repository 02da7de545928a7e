"""Kinds of controllers by what they can hold, in our own words, and the blanks that correct each figure."""

from dataclasses import dataclass, field
from typing import Any

from common.errors import Refused
from desk.blanks import Blank, number, one_of, words
from desk.set_up.amounts import whole_between

MOST_BOXES = 20
YES_NO = (("", "as its kind has it"), ("yes", "yes"), ("no", "no"))
SCOPES = (
    ("", "as its kind has it"),
    ("program", "a percent for each program"),
    ("controller", "one percent for the whole controller"),
)
DELIVERY = (
    ("office", "the office enters changes"),
    ("on_site", "somebody drives there"),
)


@dataclass(frozen=True)
class BoxKind:
    """What a kind of controller can usually hold. Common practice, no source: its own manual holds."""

    words: str
    holds: dict[str, Any] = field(default_factory=dict)


def _holds(zones: int, programs: int, starts: int, **more: Any) -> dict[str, Any]:
    usual = {
        "zone_capacity": zones,
        "program_capacity": programs,
        "starts_per_program": starts,
        "percent_step": 10,
        "percent_max": 200,
        "percent_scope": "program",
        "minute_step": 1.0,
        "cycle_and_soak": True,
        "zones_at_once": 1,
    }
    return usual | more


BOX_KINDS = {
    "simple": BoxKind(
        "Simple: one program, no cycle and soak",
        _holds(6, 1, 4, percent_scope="controller", cycle_and_soak=False),
    ),
    "typical": BoxKind("Typical: three programs, cycle and soak", _holds(12, 3, 4, percent_step=5)),
    "plain": BoxKind(
        "Older: three programs, one percent for all, no cycle and soak",
        _holds(12, 3, 4, percent_scope="controller", cycle_and_soak=False),
    ),
    "large": BoxKind(
        "Large: four programs, many zones, several at once",
        _holds(48, 4, 8, percent_step=1, zones_at_once=2),
    ),
    "two_wire": BoxKind(
        "Very large: ten programs, 99 zones", _holds(99, 10, 8, percent_step=1, zones_at_once=4)
    ),
}
KIND_CHOICES = tuple((key, kind.words) for key, kind in BOX_KINDS.items())
HELD = (
    ("zone_capacity", "Zones it can hold", 1, 200),
    ("program_capacity", "Programs it can hold", 1, 26),
    ("starts_per_program", "Starts a program can hold", 1, 24),
    ("percent_step", "Smallest step of the percent", 1, 100),
    ("percent_max", "Highest percent", 100, 500),
    ("zones_at_once", "Zones it opens at once", 1, 20),
)
CHECKS = (
    ("master_valve", "Has a master valve"),
    ("flow_sensor", "Has a flow sensor"),
    ("rain_sensor", "Has a rain sensor"),
    ("freeze_sensor", "Has a freeze sensor"),
)


def box_blanks() -> list[Blank]:
    """Return the blanks of one controller."""
    return [
        Blank(
            "name",
            "Name",
            read=words,
            most=80,
            required=True,
            effect="Where it hangs, for example Garage wall.",
        ),
        Blank("kind", "What it can hold", read=one_of(KIND_CHOICES), kind="choice", choices=KIND_CHOICES),
        Blank("delivery", "How a change reaches it", read=one_of(DELIVERY), kind="choice", choices=DELIVERY),
        Blank("serial_number", "Serial number", read=words, most=80),
        *(Blank(name, label, read=whole_between(low, high), unit=" ") for name, label, low, high in HELD),
        Blank("minute_step", "Smallest step of minutes", read=_minutes, unit="min"),
        Blank("percent_scope", "Its percent is", read=one_of(SCOPES), kind="choice", choices=SCOPES),
        Blank(
            "cycle_and_soak",
            "Splits runs with soaks between",
            read=one_of(YES_NO),
            kind="choice",
            choices=YES_NO,
        ),
        *(Blank(name, label, read=bool, kind="check") for name, label in CHECKS),
    ]


def fresh_box(key: str, number: int) -> dict[str, str]:
    """Return the texts of a controller nobody has looked at yet."""
    return {"k": key, "name": f"Controller {number}", "kind": "typical", "delivery": "office"}


def box_hints(kind: str) -> dict[str, str]:
    """Return what holds where nothing is typed."""
    holds = BOX_KINDS.get(kind, BOX_KINDS["typical"]).holds
    shown = {
        "program": "a percent for each program",
        "controller": "one percent for all",
        True: "yes",
        False: "no",
    }
    return {
        name: shown[value] if isinstance(value, str | bool) else f"{value:g}" for name, value in holds.items()
    }


def box_fields(values: dict[str, Any]) -> dict[str, Any]:
    """Return what the controller is set up with: what was typed, else what its kind holds."""
    holds = BOX_KINDS.get(values.get("kind") or "typical", BOX_KINDS["typical"]).holds
    said = {name: values.get(name) for name in holds}
    if said["cycle_and_soak"]:
        said["cycle_and_soak"] = said["cycle_and_soak"] == "yes"
    fields = {name: holds[name] if value in (None, "") else value for name, value in said.items()}
    checks = {name: bool(values.get(name)) for name, _ in CHECKS}
    words = {name: values.get(name) or "" for name in ("name", "serial_number")}
    return fields | checks | words | {"delivery": values.get("delivery") or "office"}


def _minutes(text: str) -> float | None:
    if not text:
        return None
    value = number(text)
    if not 0.01 <= value <= 30:
        raise Refused("Between 0.01 and 30 minutes.")
    return value
