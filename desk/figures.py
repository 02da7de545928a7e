"""Amounts as people read them: SI in, US customary or metric out, three figures where it is an estimate.

Every function takes the company's units (``us`` or ``metric``) as its second argument, so that a template
filter can pass it on. ``None`` becomes a dash.
"""

from decimal import ROUND_HALF_UP, Decimal
from math import floor, isfinite, log10

from common import units as convert

NBSP = "\u00a0"
MINUS = "\u2212"
DASH = "–"
KM_PER_MILE = 1.609344


def significant(value: float, digits: int = 3) -> float:
    """Round to so many significant figures: an estimate shows no more than it knows."""
    if value == 0 or not isfinite(value):
        return value
    return float(_half_up(value, digits - 1 - floor(log10(abs(value)))))


def _half_up(value: float, decimals: int) -> Decimal:
    """Round a half away from zero, as people do on paper: 0.125 is 0.13, not 0.12."""
    return Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def number(value: float, decimals: int = 0, *, signed: bool = False) -> str:
    """Return a number with thousands separated and a real minus sign."""
    whole = _half_up(abs(value), decimals) if isfinite(value) else abs(value)
    text = f"{whole:,.{decimals}f}"
    if float(text.replace(",", "")) == 0:
        return f"±{text}" if signed else text
    sign = MINUS if value < 0 else "+" if signed else ""
    return f"{sign}{text}"


def _estimate(value: float, unit: str, *, signed: bool) -> str:
    rounded = significant(value)
    decimals = 0 if abs(rounded) >= 10 or rounded == int(rounded) else 1
    return f"{number(rounded, decimals, signed=signed)}{NBSP}{unit}"


def water(litres: float | None, units: str = "metric", *, signed: bool = False) -> str:
    """Return an amount of water: gallons, or litres and from 1,000 L on cubic metres."""
    if litres is None:
        return DASH
    if units == "us":
        return _estimate(litres / convert.L_PER_GALLON, "gal", signed=signed)
    if abs(litres) >= convert.L_PER_M3:
        return _estimate(litres / convert.L_PER_M3, "m³", signed=signed)
    return _estimate(litres, "L", signed=signed)


def exact_water(litres: float | None, units: str = "metric") -> str:
    """Return an amount of water to the gallon or litre, for columns that are added up."""
    if litres is None:
        return DASH
    if units == "us":
        return f"{number(litres / convert.L_PER_GALLON)}{NBSP}gal"
    return f"{number(litres)}{NBSP}L"


def depth_value(mm: float, units: str = "metric") -> float:
    """Return a depth of water as a number in inches or millimetres, for charts."""
    return mm / convert.MM_PER_INCH if units == "us" else mm


def depth_unit(units: str = "metric") -> str:
    """Return the word for depths."""
    return "in" if units == "us" else "mm"


def depth(mm: float | None, units: str = "metric", *, signed: bool = False) -> str:
    """Return a depth of water, rain or ET."""
    if mm is None:
        return DASH
    if units == "us":
        return f"{number(mm / convert.MM_PER_INCH, 2, signed=signed)}{NBSP}in"
    return f"{number(mm, 0 if abs(mm) >= 9.95 else 1, signed=signed)}{NBSP}mm"


def rate(mm_h: float | None, units: str = "metric") -> str:
    """Return a precipitation or intake rate."""
    if mm_h is None:
        return DASH
    if units == "us":
        return f"{number(mm_h / convert.MM_PER_INCH, 2)}{NBSP}in/h"
    return f"{number(mm_h, 0 if mm_h >= 9.95 else 1)}{NBSP}mm/h"


def area(m2: float | None, units: str = "metric") -> str:
    """Return an area of ground."""
    if m2 is None:
        return DASH
    if units == "us":
        return f"{number(significant(m2 / convert.M2_PER_SQUARE_FOOT))}{NBSP}ft²"
    return f"{number(significant(m2))}{NBSP}m²"


def flow(l_min: float | None, units: str = "metric") -> str:
    """Return a flow."""
    if l_min is None:
        return DASH
    if units == "us":
        return f"{number(l_min / convert.L_PER_GALLON, 1)}{NBSP}gpm"
    return f"{number(l_min, 1)}{NBSP}L/min"


def temperature(celsius: float | None, units: str = "metric") -> str:
    """Return a temperature to the whole degree."""
    if celsius is None:
        return DASH
    value = convert.fahrenheit(celsius) if units == "us" else celsius
    return f"{number(value)}{NBSP}°{'F' if units == 'us' else 'C'}"


def wind(m_s: float | None, units: str = "metric") -> str:
    """Return a wind speed."""
    if m_s is None:
        return DASH
    if units == "us":
        return f"{number(m_s / convert.M_S_PER_MILE_PER_HOUR)}{NBSP}mph"
    return f"{number(m_s, 1)}{NBSP}m/s"


def root_depth(mm: float | None, units: str = "metric") -> str:
    """Return how deep roots go."""
    if mm is None:
        return DASH
    if units == "us":
        return f"{number(mm / convert.MM_PER_INCH, 0)}{NBSP}in"
    return f"{number(mm / 10)}{NBSP}cm"


def pressure(kpa: float | None, units: str = "metric") -> str:
    """Return a pressure."""
    if kpa is None:
        return DASH
    if units == "us":
        return f"{number(kpa / convert.KPA_PER_PSI)}{NBSP}psi"
    return f"{number(kpa)}{NBSP}kPa"


def distance(km: float, units: str = "metric") -> str:
    """Return how far off a place is, to the whole mile or kilometre."""
    return f"{number(km / KM_PER_MILE)}{NBSP}miles" if units == "us" else f"{number(km)}{NBSP}km"


def height(m: float, units: str = "metric") -> str:
    """Return how high a place lies."""
    return f"{number(m / convert.M_PER_FOOT)}{NBSP}ft" if units == "us" else f"{number(m)}{NBSP}m"


def percent(value: float | None) -> str:
    """Return a percent that is already a percent."""
    return DASH if value is None else f"{number(value)}{NBSP}%"


def share(ratio: float | None) -> str:
    """Return a ratio of 0 to 1 as a percent."""
    return DASH if ratio is None else percent(100 * ratio)


def money(amount: float | None, currency: str) -> str:
    """Return a sum of money without its sign."""
    if amount is None:
        return DASH
    value = abs(float(amount))
    return _priced(number(value, 0 if value >= 20 or value == int(value) else 2), currency)


def exact_money(amount: Decimal | float | None, currency: str) -> str:
    """Return a sum of money to the cent, where it stands beside exact amounts of water."""
    if amount is None:
        return DASH
    sign = MINUS if amount < 0 else ""
    return sign + _priced(number(abs(float(amount)), 2), currency)


def _priced(text: str, currency: str) -> str:
    return f"${text}" if currency == "USD" else f"{text}{NBSP}{currency}"
