"""Conversions at the edge: SI inside, US customary or metric on screen.

The factors come from pint's registry once, at import; a test checks each against a literal.
"""

from decimal import Decimal
from typing import Literal

import pint

System = Literal["us", "metric"]

_registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(non_int_type=Decimal)


def _factor(source: str, target: str, *, of: int = 1) -> float:
    return float(_registry.Quantity(Decimal(of), source).to(target).magnitude)


MM_PER_INCH = _factor("inch", "millimeter")
L_PER_GALLON = _factor("gallon", "liter")
L_PER_CCF = _factor("foot**3", "liter", of=100)
L_PER_M3 = _factor("meter**3", "liter")
M2_PER_SQUARE_FOOT = _factor("foot**2", "meter**2")
M_PER_FOOT = _factor("foot", "meter")
M_S_PER_MILE_PER_HOUR = _factor("mile/hour", "meter/second")
KPA_PER_PSI = _factor("psi", "kilopascal")

# What the register of a water meter counts in. [L]
L_PER_METER_UNIT: dict[str, float] = {
    "gal": L_PER_GALLON,
    "kgal": _factor("gallon", "liter", of=1000),
    "ccf": L_PER_CCF,
    "m3": L_PER_M3,
    "l": 1.0,
}


def fahrenheit(celsius: float) -> float:
    """Convert a temperature. [degF]"""
    return celsius * 9.0 / 5.0 + 32.0


def celsius(fahrenheit: float) -> float:
    """Convert a temperature. [degC]"""
    return (fahrenheit - 32.0) * 5.0 / 9.0
