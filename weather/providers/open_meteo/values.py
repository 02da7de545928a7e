"""Values of an answer as numbers: NaN where there is none, a broken answer where they can't be."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from weather.providers.errors import Unavailable

Values = NDArray[np.float64]


def broken() -> Unavailable:
    """Return the error of an answer that isn't in the documented shape."""
    return Unavailable("broken_answer", "The weather source's answer isn't in the shape it should have.")


def column(section: Mapping[str, Any], name: str) -> Values:
    """Return one variable of a section, as long as its ``time``; NaN where it is null or left out.

    Raises
    ------
    Unavailable
        If it has another length or holds what is no number.
    """
    count = len(section["time"])
    raw = section.get(name)
    if raw is None:
        return np.full(count, np.nan)
    if not isinstance(raw, list) or len(raw) != count:
        raise broken()
    try:
        return np.array([np.nan if value is None else float(value) for value in raw])
    except (TypeError, ValueError) as error:
        raise broken() from error


def within(values: Values, limits: tuple[float, float]) -> Values:
    """Return the values with NaN where they lie outside the limits."""
    return np.where((values >= limits[0]) & (values <= limits[1]), values, np.nan)


def number(value: Any) -> float | None:
    """Return a finite number, or None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if math.isfinite(value) else None
