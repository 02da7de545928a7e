"""Sentences about a decision, in a practitioner's words and the company's units."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from common.units import M_S_PER_MILE_PER_HOUR, MM_PER_INCH, fahrenheit
from scheduling.services.outlook import DRY, UNHARMED, Risk

WISH_WORDS = 200
WEEKDAY = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def depth(mm: float, units: str) -> str:
    """Write a depth of water."""
    return f"{mm / MM_PER_INCH:.2f} inches" if units == "us" else f"{mm:.0f} mm"


def temperature(celsius: float, units: str) -> str:
    """Write a temperature."""
    return f"{fahrenheit(celsius):.0f} °F" if units == "us" else f"{celsius:.0f} °C"


def speed(m_s: float, units: str) -> str:
    """Write a wind speed."""
    return f"{m_s / M_S_PER_MILE_PER_HOUR:.0f} mph" if units == "us" else f"{m_s:.1f} m/s"


def day(on: date) -> str:
    """Write a day of the coming week."""
    return WEEKDAY[on.weekday()]


def dated_day(on: date) -> str:
    """Write a day of the coming month."""
    return f"{WEEKDAY[on.weekday()]} {on.day}"


def risk_words(risk: Risk, zone_number: int, *, name: Callable[[date], str] = day) -> str:
    """Say what the plants go through; ``name`` writes its days."""
    if risk.level == UNHARMED or risk.first is None:
        return "unharmed"
    word = "dry" if risk.level == DRY else "short"
    span = f"from {name(risk.first)}"
    if risk.until is not None:
        first, until = name(risk.first), name(risk.until)
        span = f"on {first}" if risk.until == risk.first else f"{first} to {until}"
    return f"zone {zone_number} {word} {span}"


def _soil(gives_mm: float, units: str) -> str:
    """Say what the soil still has above the limit; an amount that would be written as zero is none."""
    told = depth(gives_mm, units)
    return (
        "the soil has nothing left to give"
        if told == depth(0.0, units)
        else f"the soil can still give {told}"
    )


def two_zones(deciding: int, driest: int) -> str:
    """Say why a risk names another zone than the reason does; nothing where it doesn't."""
    if deciding == driest:
        return ""
    return (
        f" Zone {deciding} is short the most over all these days, zone {driest} is the driest on one of them."
    )


@dataclass(frozen=True)
class WeekFigures:
    """The deciding zone's coming week: what it uses, has and gets. [mm]"""

    uses_mm: float
    rain_mm: float
    soil_gives_mm: float  # from today's depletion down to the limit it is held to
    given_now_mm: float  # by the program at the percent in force
    without_tonight: bool = False  # the coming night is taken as left out, as proposed beside it


def percent_reason(
    *,
    current: int,
    proposed: int,
    zone_number: int,
    plant: str,
    figures: WeekFigures,
    enough: bool,
    night_full: bool,
    units: str,
) -> str:
    """Say in one line why the percent should move."""
    uses, gives = depth(figures.uses_mm, units), depth(figures.given_now_mm, units)
    at = f"at {current} %{' with tonight left out' if figures.without_tonight else ''}"
    rain = f", {depth(figures.rain_mm, units)} of rain counts" if figures.rain_mm >= 1.0 else ""
    soil = _soil(figures.soil_gives_mm, units)
    who = f"Zone {zone_number} ({plant})"
    zone = f"zone {zone_number} ({plant})"
    if not enough and night_full:
        over = f"{current} %" if proposed < current else "more"
        return (
            f"The night has no room for {over}: {zone} uses {uses} this week, "
            f"{proposed} % is the most that ends in time."
        )
    if not enough:
        return (
            f"No percent is enough on these days: {zone} uses {uses} this week and its soil "
            f"can't hold that from one watering to the next; {proposed} % does all that a percent can."
        )
    if proposed < current:
        live = f"over all the days looked at plants live well with {proposed} %"
        then = figures.given_now_mm * proposed / current + figures.rain_mm + figures.soil_gives_mm
        if depth(figures.soil_gives_mm, units) == depth(0.0, units):
            soil = live
        elif then < figures.uses_mm:  # the week alone doesn't add up: say what the choice rests on
            soil += f", and {live}"
        return f"{who} uses {uses} this week and gets {gives} {at}{rain}; {soil}."
    if figures.given_now_mm + figures.rain_mm < figures.uses_mm:
        return f"{who} uses {uses} this week but gets only {gives} {at}{rain}; {soil}."
    if figures.soil_gives_mm < 1.0:
        return f"{who} starts the week dry; {gives} {at} is too little to fill its soil again{rain}."
    return f"{who} uses {uses} this week; {gives} {at}{rain}, but it runs short between two waterings."


def rain_skip_reason(
    *, rain_mm: float, credited_mm: float, next_water: date, zone_number: int, units: str
) -> str:
    """Say why a night can be left out for rain."""
    return (
        f"{depth(rain_mm, units)} of rain, {depth(credited_mm, units)} counted: no zone reaches its limit "
        f"before the next watering on {day(next_water)}; zone {zone_number} comes closest."
    )


def freeze_skip_reason(*, low_c: float, morning: date, units: str) -> str:
    """Say why a night is left out for frost."""
    return (
        f"{temperature(low_c, units)} expected by {day(morning)} morning: "
        "water on walks and plants would freeze."
    )


def wind_skip_reason(*, wind_m_s: float, night: date, units: str) -> str:
    """Say why a night is left out for wind."""
    return (
        f"{speed(wind_m_s, units)} mean wind expected {day(night)} night: spray would drift; "
        "no zone reaches its limit before the next watering."
    )


def wish_reason(*, first: date, last: date, words: str) -> str:
    """Say why nights are left out for a client, in their own words as far as there is room."""
    days = dated_day(first) if first == last else f"{dated_day(first)} to {dated_day(last)}"
    said = " ".join(words.split())
    said = said if len(said) <= WISH_WORDS else f"{said[: WISH_WORDS - 1]}…"
    return f"The client's wish, dry on {days}: “{said}”"
