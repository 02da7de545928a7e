"""The blanks of what is measured at a zone: cans, flow, pressure; in the company's units."""

import re
from collections.abc import Callable
from typing import Any

from common import units as convert
from common.errors import Refused
from desk.blanks import Blank, number, one_of, plain, words
from fleet.models.cans import FEWEST, MOST_CANS, MOST_ML
from fleet.numerics.hydraulics import PIPE_NAMES
from fleet.numerics.zone_faults import FAULTS

CM2_PER_SQUARE_INCH = (convert.MM_PER_INCH / 10.0) ** 2
L_PER_CUBIC_FOOT = convert.L_PER_CCF / 100.0
APART = re.compile(r"[\s,;]+")
METERS = {
    "gal": ("gallons", convert.L_PER_GALLON),
    "ft3": ("cubic feet", L_PER_CUBIC_FOOT),
    "l": ("litres", 1.0),
    "m3": ("cubic metres", convert.L_PER_M3),
}
TURN = {"us": ("gal", "ft3", "l", "m3"), "metric": ("l", "m3", "gal", "ft3")}


def measure(
    name: str,
    label: str,
    *,
    unit: str,
    si: float = 1.0,
    bounds: tuple[float, float],
    decimals: int = 1,
    effect: str = "",
    required: bool = False,
) -> Blank:
    """Return a blank for an amount: ``si`` is one of the unit in SI, ``bounds`` are SI, both included."""

    def read(text: str) -> float | None:
        if not text:
            return None
        value = number(text.removesuffix(unit).strip()) * si
        if not bounds[0] - 1e-9 <= value <= bounds[1] + 1e-9:
            low, high = (plain(bound / si, decimals) for bound in bounds)
            raise Refused(f"{low} to {high} {unit}.")
        return round(value, 6)

    def show(value: float | None) -> str:
        return "" if value is None else plain(value / si, decimals)

    return Blank(name, label, read=read, show=show, unit=unit, effect=effect, required=required)


def volumes(text: str) -> list[float]:
    """Return the volumes of cans typed one after another, apart by blanks, commas or lines.

    Raises
    ------
    Refused
        If one isn't a number of mL, or there are too many or too few.
    """
    parts = [part for part in APART.split(text.strip()) if part]
    found = []
    for place, part in enumerate(parts, 1):
        try:
            value = number(part)
        except Refused:
            raise Refused(f"Can {place}: {part[:20]} isn't a number.") from None
        if not 0 <= value <= MOST_ML:
            raise Refused(f"Can {place}: a can holds 0 to {MOST_ML:,.0f} mL.")
        found.append(value)
    if len(found) > MOST_CANS:
        raise Refused(f"{MOST_CANS} cans at the most; these are {len(found)}.")
    if len(found) < FEWEST:
        raise Refused(f"Type at least {FEWEST} cans; these are {len(found)}.")
    if not any(found):
        raise Refused("No can caught anything; the zone may not have run.")
    return found


def cans_blanks(units: str) -> list[Blank]:
    """Return the blanks of a catch-can audit."""
    us = units == "us"
    return [
        Blank(
            "volumes_ml",
            "Cans, mL",
            read=volumes,
            show=lambda value: " ".join(plain(one, 1) for one in value or []),
            kind="long",
            most=2_000,
        ),
        measure("minutes", "The zone ran", unit="min", bounds=(0.5, 240), required=True),
        measure(
            "throat_cm2",
            "Opening of one can",
            unit="in²" if us else "cm²",
            si=CM2_PER_SQUARE_INCH if us else 1.0,
            bounds=(5, 5_000),
            decimals=2,
            required=True,
            effect="A round can: 0.785 times its width across, times its width again.",
        ),
        measure(
            "wind_m_s",
            "Wind",
            unit="mph" if us else "m/s",
            si=convert.M_S_PER_MILE_PER_HOUR if us else 1.0,
            bounds=(0, 40),
        ),
        Blank("note", "Note", read=words, most=200),
    ]


def test_blanks(units: str) -> list[Blank]:
    """Return the blanks of one zone in a round."""
    us = units == "us"
    volume: dict[str, Any] = {"unit": "gal" if us else "L", "si": convert.L_PER_GALLON if us else 1.0}
    flow: dict[str, Any] = {"unit": "gpm" if us else "L/min", "si": convert.L_PER_GALLON if us else 1.0}
    pressure: dict[str, Any] = {"unit": "psi" if us else "kPa", "si": convert.KPA_PER_PSI if us else 1.0}
    return [
        measure("flow_l_min", "Flow, as a flow meter shows it", bounds=(0, 10_000), decimals=2, **flow),
        measure("volume_l", "Bucket filled with", bounds=(0, 100_000), decimals=2, **volume),
        _reading("before", "Meter before"),
        _reading("after", "Meter after"),
        Blank(
            "meter",
            "The meter counts",
            read=one_of([(key, METERS[key][0]) for key in METERS]),
            kind="choice",
            choices=[(key, METERS[key][0]) for key in TURN[units]],
        ),
        measure("seconds", "It took", unit="s", bounds=(0.5, 7_200), decimals=1),
        measure("pressure_kpa", "Working pressure", bounds=(0, 2_000), decimals=0, **pressure),
        Blank(
            "seen",
            "What did you see?",
            read=str.split,
            show=_joined,
            kind="days",
            choices=[(key, fault.words) for key, fault in FAULTS.items()],
            most=400,
        ),
        Blank("note", "Note", read=words, most=400),
        Blank("pipe", "Pipe behind the valve", read=one_of(_pipes()), kind="choice", choices=_pipes()),
        Blank("not_seen_because", "Not seen, because", read=words, most=200),
    ]


def _pipes() -> list[tuple[str, str]]:
    return [("", "not known"), *PIPE_NAMES]


def _joined(value: Any) -> str:
    return " ".join(value or [])


def _reading(name: str, label: str) -> Blank:
    show: Callable[[Any], str] = lambda value: plain(value, 3)  # noqa: E731
    return Blank(name, label, read=_number_or_none, show=show, unit="as it reads")


def _number_or_none(text: str) -> float | None:
    return number(text) if text else None
