"""Which cell a place shares its weather with. A client's own coordinate ends here."""

import math
from typing import Final
from zoneinfo import available_timezones

from common.errors import Refused
from weather.models import WeatherCell

# About 3 km: as fine as the finest forecast model, coarse enough that neighbours share one pull.
SQUARES_PER_DEGREE: Final = 100.0 / 3.0
# Beyond this, half a degree of temperature, places get cells of their own.
SHARED_WITHIN_M: Final = 75.0
ELEVATION_STEP_M: Final = 10.0


def cell_for(*, latitude: float, longitude: float, elevation_m: float, timezone: str) -> WeatherCell:
    """Return the cell for a place, made if there is none yet.

    Places in one 0.03 degree square and one time zone share a cell within 75 m of its height.
    """
    near = known_cell(latitude=latitude, longitude=longitude, elevation_m=elevation_m, timezone=timezone)
    return near or _made(
        latitude=_centre(latitude, 90.0),
        longitude=_centre(longitude, 180.0),
        elevation_m=round(elevation_m / ELEVATION_STEP_M) * ELEVATION_STEP_M,
        timezone=timezone,
    )


def known_cell(*, latitude: float, longitude: float, elevation_m: float, timezone: str) -> WeatherCell | None:
    """Return the cell a place would share, None where it isn't made yet."""
    square = WeatherCell.objects.filter(
        latitude=_centre(latitude, 90.0), longitude=_centre(longitude, 180.0), timezone=timezone
    )
    near = min(square, key=lambda cell: abs(cell.elevation_m - elevation_m), default=None)
    return near if near is not None and abs(near.elevation_m - elevation_m) <= SHARED_WITHIN_M else None


def _made(*, latitude: float, longitude: float, elevation_m: float, timezone: str) -> WeatherCell:
    cell = WeatherCell(latitude=latitude, longitude=longitude, elevation_m=elevation_m, timezone=timezone)
    cell.full_clean(validate_unique=False, validate_constraints=False)
    if timezone not in available_timezones():
        raise Refused(f"{timezone!r} isn't a time zone.", field="timezone")
    # Two at once: the second finds the first one's row.
    return WeatherCell.objects.get_or_create(
        latitude=latitude, longitude=longitude, elevation_m=elevation_m, timezone=timezone
    )[0]


def _centre(degrees: float, limit: float) -> float:
    """Return the middle of the square a coordinate lies in, to the thousandth of a degree. [deg]"""
    # The tiny step keeps a coordinate on a line, such as 38.43, on the same side whatever its last bit is.
    square = math.floor(degrees * SQUARES_PER_DEGREE + 1e-9)
    last = round(limit * SQUARES_PER_DEGREE) - 1
    return round((min(max(square, -last - 1), last) + 0.5) / SQUARES_PER_DEGREE, 3)
