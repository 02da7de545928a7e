"""Conversions at the edge: SI inside, US customary or metric on screen.

The factors come from pint's registry once, at import; a test checks each against a literal.
"""

from typing import Literal

import pint

System = Literal["us", "metric"]

_registry: pint.UnitRegistry[float] = pint.UnitRegistry()


def _factor(source: str, target: str) -> float:
    return float(_registry.Quantity(1.0, source).to(target).magnitude)


MM_PER_INCH = _factor("inch", "millimeter")
L_PER_GALLON = _factor("gallon", "liter")
L_PER_CCF = _factor("foot**3", "liter") * 100.0
L_PER_M3 = _factor("meter**3", "liter")
M2_PER_SQUARE_FOOT = _factor("foot**2", "meter**2")
M_PER_FOOT = _factor("foot", "meter")
M_S_PER_MILE_PER_HOUR = _factor("mile/hour", "meter/second")
KPA_PER_PSI = _factor("psi", "kilopascal")


def fahrenheit(celsius: float) -> float:
    """Convert a temperature. [degF]"""
    return celsius * 9.0 / 5.0 + 32.0


def celsius(fahrenheit: float) -> float:
    """Convert a temperature. [degC]"""
    return (fahrenheit - 32.0) * 5.0 / 9.0
