"""The usual year a plan rests on: its own place's, else that of the nearest that knows all its months."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count

from fleet.models import Site
from fleet.selectors.places import distance_km
from weather.models import MonthlyNormal, WeatherCell
from weather.services.cells import known_cell

NEAR_KM = 150.0  # beyond it another place's year says too little: our own choice
ABOUT_DEGREES = 4.0  # holds a place so near up to 65 degrees of latitude
JULY, JANUARY = 7, 1
OWN, TYPED, NEAR, UNKNOWN = "own", "typed", "near", "unknown"


@dataclass(frozen=True)
class UsualYear:
    """Reference ET of an average day of each month, January first, None where nobody knows it [mm/d].

    ``of`` its own place, what somebody typed for the hottest month, or a place ``distance_km`` away that lies
    ``elevation_m`` high; ``filled`` where only months that its own place doesn't know yet are from there.
    """

    et_mm_day: Sequence[float | None]
    of: str = OWN
    distance_km: float = 0.0
    elevation_m: float = 0.0
    filled: bool = False


def usual_year(site: Site, *, peak_mm_day: float | None = None) -> UsualYear:
    """Return what a plan for a site can rest on; ``peak_mm_day`` what somebody said of its hottest month."""
    here = _cell_of(site)
    own = months_of(here)
    if None not in own:
        return UsualYear(own)
    if peak_mm_day:
        hottest = JANUARY if site.latitude < 0 else JULY
        return UsualYear([peak_mm_day if n == hottest else None for n in range(1, 13)], TYPED)
    near = _nearest(site, but=here)
    some = any(value is not None for value in own)
    if near is None:
        return UsualYear(own, OWN if some else UNKNOWN)
    away, cell = near
    months = [mine if mine is not None else its for mine, its in zip(own, months_of(cell.pk), strict=True)]
    return UsualYear(months, NEAR, away, cell.elevation_m, filled=some)


def months_of(cell: int | None) -> list[float | None]:
    """Return the reference ET of an average day of each month, None where it isn't known. [mm/d]"""
    known = dict(MonthlyNormal.objects.filter(cell=cell).values_list("month", "reference_et_mm"))
    return [known.get(month) for month in range(1, 13)]


def _cell_of(site: Site) -> int | None:
    """Return its piece of the weather map; the first night sets it, it may be known before."""
    if site.cell_id is not None or None in (site.latitude, site.longitude, site.elevation_m):
        return site.cell_id
    found = known_cell(
        latitude=site.latitude,
        longitude=site.longitude,
        elevation_m=site.elevation_m,
        timezone=site.timezone,
    )
    return found.pk if found is not None else None


def _nearest(site: Site, *, but: int | None) -> tuple[float, WeatherCell] | None:
    """Return the nearest place on its side of the equator that knows every month of its year."""
    if site.latitude is None or site.longitude is None:
        return None
    whole = MonthlyNormal.objects.filter(reference_et_mm__isnull=False).values("cell")
    whole = whole.annotate(months=Count("pk")).filter(months=12).values("cell")
    cells = WeatherCell.objects.filter(
        pk__in=whole,
        latitude__range=(site.latitude - ABOUT_DEGREES, site.latitude + ABOUT_DEGREES),
        longitude__range=(site.longitude - ABOUT_DEGREES, site.longitude + ABOUT_DEGREES),
    )
    away = [
        (distance_km(site.latitude, site.longitude, cell.latitude, cell.longitude), cell)
        for cell in cells
        if cell.pk != but and (cell.latitude < 0) == (site.latitude < 0)
    ]
    found = min(away, key=lambda one: (one[0], one[1].pk), default=None)
    return found if found is not None and found[0] <= NEAR_KM else None
