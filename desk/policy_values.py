"""The values of a policy as people read and type them, in the company's units."""

from dataclasses import dataclass
from typing import Any

from common import units as convert
from common.errors import Refused
from fleet.selectors.client_policy import Line

WHOLE = frozenset({"auto_move_points", "percent_min", "percent_max", "dead_band_points"})
UNITS = {
    "auto_move_points": ("points", "points"),
    "percent_min": ("%", "%"),
    "percent_max": ("%", "%"),
    "dead_band_points": ("points", "points"),
    "uniformity_margin": ("%", "%"),
    "visit_worth_l": ("gal", "L"),
    "freeze_skip_below_c": ("°F", "°C"),
    "wind_skip_above_m_s": ("mph", "m/s"),
}
YES, NO = "yes", "no"


@dataclass(frozen=True)
class Field:
    """One value as the form shows it."""

    line: Line
    unit: str
    shown: str
    without: str
    typed: str
    error: str = ""


def unit_of(name: str, units: str) -> str:
    """Return the unit a value is told in; nothing for a yes or no."""
    us, metric = UNITS.get(name, ("", ""))
    return us if units == "us" else metric


def shown(name: str, value: Any, units: str) -> str:
    """Return a value in words, without its unit."""
    if value is None:
        return ""
    if name == "auto_skips":
        return YES if value else NO
    return f"{_out(name, float(value), units):.1f}".removesuffix(".0")


def read(line: Line, text: str, units: str) -> Any:
    """Return what was typed for a value, None where nothing was; untouched text keeps the exact value.

    Raises
    ------
    Refused
        If it isn't a number, or neither yes nor no.
    """
    text = text.strip()
    if text == shown(line.name, line.own, units):
        return line.own
    if not text:
        return None
    if line.name == "auto_skips":
        if text not in (YES, NO):
            raise Refused("Pick yes, no or the company's.", field=line.name)
        return text == YES
    value = _in(line.name, _number(text, line.name), units)
    if line.name not in WHOLE:
        return value
    if value != int(value):
        raise Refused("Type a whole number.", field=line.name)
    return int(value)


def _number(text: str, name: str) -> float:
    plain = text.replace("\u2212", "-")
    if len(plain) > 12 or not plain.isascii() or not set(plain) <= set("0123456789.-"):
        raise Refused("Type a number, for example 5 or 2.5.", field=name)
    try:
        return float(plain)
    except ValueError:
        raise Refused("Type a number, for example 5 or 2.5.", field=name) from None


def _out(name: str, value: float, units: str) -> float:
    if name == "uniformity_margin":
        return 100 * value
    if units != "us":
        return value
    match name:
        case "visit_worth_l":
            return value / convert.L_PER_GALLON
        case "freeze_skip_below_c":
            return convert.fahrenheit(value)
        case "wind_skip_above_m_s":
            return value / convert.M_S_PER_MILE_PER_HOUR
    return value


def _in(name: str, value: float, units: str) -> float:
    if name == "uniformity_margin":
        return value / 100
    if units != "us":
        return value
    match name:
        case "visit_worth_l":
            return value * convert.L_PER_GALLON
        case "freeze_skip_below_c":
            return convert.celsius(value)
        case "wind_skip_above_m_s":
            return value * convert.M_S_PER_MILE_PER_HOUR
    return value
