"""The blanks of the decision policy, in the company's units; an empty one means the usual value."""

from collections.abc import Callable
from typing import Any

from common import units as convert
from common.errors import Refused
from desk.blanks import Blank, number, plain, whole
from fleet.selectors.policies import PolicyInForce

USUAL = PolicyInForce()
MOST_PERCENT = 500
MOST_TRIP_L = 10_000_000.0


def policy_blanks(units: str) -> list[Blank]:
    """Return the blanks of a policy."""
    return [_skips(), _move(), _least(), _greatest(), _small(), _margin(), *_measured(units)]


def _skips() -> Blank:
    return Blank(
        "auto_skips",
        "Approve skips by themselves",
        read=lambda text: text == "yes",
        show=lambda value: "yes" if value else "",
        effect="A skip for rain, frost or wind is approved without anybody looking at it.",
        kind="check",
    )


def _move() -> Blank:
    return _whole(
        "auto_move_points",
        "Approve percent moves by themselves, up to",
        "A move of no more than this many points is approved without anybody looking at it; 0 approves none.",
        unit="points",
    )


def _least() -> Blank:
    return _whole("percent_min", "Least percent", "No program is proposed a lower percent than this.")


def _greatest() -> Blank:
    return _whole("percent_max", "Greatest percent", "No program is proposed a higher percent than this.")


def _small() -> Blank:
    return _whole(
        "dead_band_points",
        "Leave moves alone that are smaller than",
        "A smaller move is only proposed if it spares plants from drying.",
        unit="points",
    )


def _margin() -> Blank:
    return _measure(
        "uniformity_margin",
        "Share of the extra water for uneven heads",
        "At 1 the drier parts of a zone get all they need; at 0 they get less: it is watered to its average.",
        unit="0 to 1",
        bounds=(0.0, 1.0),
        decimals=2,
    )


def _measured(units: str) -> list[Blank]:
    us = units == "us"
    gallon, mile = convert.L_PER_GALLON, convert.M_S_PER_MILE_PER_HOUR
    same: tuple[Callable[[float], float], Callable[[float], float]] = (float, float)
    return [
        _measure(
            "visit_worth_l",
            "A drive of its own is worth it from",
            "A change that needs a drive is proposed from this much water a week on; below that it waits for "
            "the next visit, unless plants would run dry.",
            unit="gal a week" if us else "L a week",
            bounds=(0.0, MOST_TRIP_L),
            decimals=0,
            turn=(lambda v: v / gallon, lambda v: v * gallon) if us else same,
        ),
        _measure(
            "freeze_skip_below_c",
            "Skip a night for frost below",
            "A skip is proposed where the night is forecast colder than this. Water on walkways freezes.",
            unit="°F" if us else "°C",
            bounds=(-20.0, 15.0),
            turn=(convert.fahrenheit, convert.celsius) if us else same,
        ),
        _measure(
            "wind_skip_above_m_s",
            "Skip a night for wind above",
            "A skip is proposed where heads spray into the air and plants can wait a night; mean wind at 2 m "
            "(7 ft).",
            unit="mph" if us else "m/s",
            bounds=(0.0, 40.0),
            turn=(lambda v: v / mile, lambda v: v * mile) if us else same,
        ),
    ]


def _whole(name: str, label: str, effect: str, *, unit: str = "%") -> Blank:
    def read(text: str) -> int | None:
        if not text:
            return None
        value = whole(text.rstrip("%").strip())
        if value > MOST_PERCENT:
            raise Refused(f"{MOST_PERCENT} at the most.")
        return value

    return Blank(name, label, read=read, show=_shown(name, str), effect=effect, unit=unit)


def _measure(
    name: str,
    label: str,
    effect: str,
    *,
    unit: str,
    bounds: tuple[float, float],
    decimals: int = 1,
    turn: tuple[Callable[[float], float], Callable[[float], float]] = (float, float),
) -> Blank:
    shown, stored = turn

    def text_of(value: float) -> str:
        return plain(shown(value), decimals)

    def read(text: str) -> float | None:
        if not text:
            return None
        value = stored(number(text))
        if not bounds[0] - 1e-9 <= value <= bounds[1] + 1e-9:
            raise Refused(
                f"{text_of(bounds[0])} to {text_of(bounds[1])} {unit.removeprefix('0 to 1')}".strip() + "."
            )
        return round(value, 6)

    return Blank(name, label, read=read, show=_shown(name, text_of), effect=effect, unit=unit)


def _shown(name: str, text_of: Callable[[Any], str]) -> Callable[[Any], str]:
    """Return how a value is shown: an empty one as the usual value, since that is what holds."""
    return lambda value: text_of(getattr(USUAL, name) if value is None else value)


def usual(blank: Blank) -> str:
    """Return what holds where nothing is typed."""
    return blank.show(None)
