"""What is known offline about a place: its time zone, about where a ZIP code lies, about how high it is."""

import re
from dataclasses import dataclass
from functools import cache
from math import asin, cos, radians, sin, sqrt
from threading import Lock
from typing import Any

from common.errors import Refused
from fleet.models import Site
from weather.models import WeatherCell

ZIP = re.compile(r"(?<![0-9])([0-9]{5})(?:-[0-9]{4})?(?![0-9])")
EARTH_KM = 6371.0
FAR_KM = 30.0  # beyond this a neighbour's height says little
_lock = Lock()


@dataclass(frozen=True)
class ZipPlace:
    """About the middle of a US ZIP code. [deg]"""

    code: str
    town: str
    latitude: float
    longitude: float


@dataclass(frozen=True)
class Height:
    """A height taken from nearby: from what and how far off. [m, km]"""

    elevation_m: float
    of: str
    distance_km: float

    @property
    def far(self) -> bool:
        """Tell whether it is too far off to be more than a guess."""
        return self.distance_km > FAR_KM


@cache
def _finder() -> Any:
    from timezonefinder import TimezoneFinder  # 0.3 s and 32 MB: only for whoever sets a site up

    return TimezoneFinder(in_memory=True)  # nothing is left open when the process ends


def timezone_at(latitude: float, longitude: float) -> str:
    """Return the time zone of a place, offline.

    Raises
    ------
    Refused
        If the place isn't on the globe.
    """
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise Refused("Latitude goes from −90 to 90, longitude from −180 to 180.", field="place")
    with _lock:
        return _finder().timezone_at(lat=latitude, lng=longitude) or "UTC"


def zip_in(text: str) -> str:
    """Return the last ZIP code in an address, or an empty text."""
    codes: list[str] = ZIP.findall(text[:1000])
    return codes[-1] if codes else ""


def place_of_zip(code: str) -> ZipPlace | None:
    """Return about where a US ZIP code lies, None if there is no such code."""
    import zipcodes  # a table of 1 MB, read when first asked

    if not ZIP.fullmatch(code):
        return None
    found = next(iter(zipcodes.matching(code[:5])), None)
    if found is None:
        return None
    return ZipPlace(code[:5], f"{found['city']}, {found['state']}", float(found["lat"]), float(found["long"]))


def height_near(company_ids: list[int], latitude: float, longitude: float) -> Height | None:
    """Return the height of the nearest of the companies' sites in reach, else of what is nearest at all."""
    sites = Site.objects.filter(client__company__in=company_ids).exclude(elevation_basis="assumed")
    rows = [(*row, "site") for row in sites.values_list("latitude", "longitude", "elevation_m", "name")]
    cells = WeatherCell.objects.filter(
        sites__client__company__in=company_ids,
        latitude__range=(latitude - 1, latitude + 1),
        longitude__range=(longitude - 1, longitude + 1),
    ).values_list("latitude", "longitude", "elevation_m")
    rows += [(*row, "", "cell") for row in cells.distinct()]
    if not rows:
        return None

    def away(row: tuple[Any, ...]) -> tuple[bool, float]:
        far = distance_km(latitude, longitude, row[0], row[1])
        return row[4] != "site" or far > FAR_KM, far  # a cell's height is a rounded one

    near = min(rows, key=away)
    of = near[3] if near[4] == "site" else "a weather cell"
    return Height(float(near[2]), of, distance_km(latitude, longitude, near[0], near[1]))


def distance_km(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    """Return the distance between two places along the globe. [km]

    References
    ----------
    .. [1] Haversine formula on a sphere of 6371 km.
    """
    up = sin(radians(other_latitude - latitude) / 2) ** 2
    along = sin(radians(other_longitude - longitude) / 2) ** 2
    chord = up + cos(radians(latitude)) * cos(radians(other_latitude)) * along
    return 2 * EARTH_KM * asin(min(1.0, sqrt(chord)))
