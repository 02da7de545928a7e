"""What an argument can be at all. Beyond these limits the caller has made a mistake, whatever the weather.

They are wider than the limits in ``quality``, so weather that passed those checks never raises here. NaN
always passes: it means "not known".
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
Limits = tuple[float, float]

TEMPERATURE_C: Final = (-90.0, 70.0)
VAPOUR_PRESSURE_KPA: Final = (0.0, 10.0)
PRESSURE_KPA: Final = (20.0, 110.0)
RELATIVE_HUMIDITY: Final = (0.0, 1.1)
DEW_POINT_OFFSET_C: Final = (0.0, 10.0)
WIND_M_S: Final = (0.0, 120.0)
WIND_HEIGHT_M: Final = (0.5, 200.0)
RADIATION_MJ_M2: Final = (0.0, 100.0)
NET_RADIATION_MJ_M2: Final = (-100.0, 100.0)
SUNSHINE_H: Final = (0.0, 24.0)
SLOPE_KPA_C: Final = (0.0, 2.0)
DEFICIT_KPA: Final = (0.0, 40.0)
PSYCHROMETRIC_KPA_C: Final = (0.01, 0.1)
LATITUDE_DEG: Final = (-90.0, 90.0)
ELEVATION_M: Final = (-500.0, 9000.0)
DAY_OF_YEAR: Final = (1.0, 366.0)


def checked(name: str, values: ArrayLike, limits: Limits) -> FloatArray:
    """Values as float64, or ValueError naming the argument, a value outside the limits, and the limits."""
    array = np.asarray(values, dtype=np.float64)
    require_within(name, array, limits)
    return array


def require_within(name: str, array: FloatArray, limits: Limits) -> bool:
    """Raise if a value lies outside the limits; otherwise say whether every value is known (no NaN)."""
    if array.size == 0:
        return True
    low, high = array.min(), array.max()
    complete = not np.isnan(low)
    if not complete:
        low, high = np.fmin.reduce(array, axis=None), np.fmax.reduce(array, axis=None)
    if low < limits[0] or high > limits[1]:
        worst = low if low < limits[0] else high
        raise ValueError(f"{name} is {worst:g}; it must lie within {limits[0]:g} to {limits[1]:g}")
    return complete


def day_extremes(t_min_c: ArrayLike, t_max_c: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """A day's lowest and highest temperature, each checked and the lowest not above the highest."""
    low = checked("t_min_c", t_min_c, TEMPERATURE_C)
    high = checked("t_max_c", t_max_c, TEMPERATURE_C)
    require_ordered(low, high)
    return low, high


def require_ordered(t_min_c: FloatArray, t_max_c: FloatArray) -> None:
    """Raise if a minimum temperature lies above its maximum."""
    wrong = np.asarray(t_min_c > t_max_c)
    if wrong.any():
        low, high = (np.broadcast_to(values, wrong.shape)[wrong][0] for values in (t_min_c, t_max_c))
        raise ValueError(
            f"t_min_c is {low:g}; it must lie within {TEMPERATURE_C[0]:g} to t_max_c, here {high:g}"
        )
