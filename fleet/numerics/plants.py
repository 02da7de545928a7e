"""Plant types: the share of reference ET they need month by month, and how deep their roots go."""

from dataclasses import dataclass

from fleet.numerics.sourced import Sourced

Months = tuple[float, float, float, float, float, float, float, float, float, float, float, float]

_TURF = "UC Center for Landscape and Urban Horticulture, Turfgrass Crop Coefficients, Table 1 (California)"
_WOODY = "ANSI/ASABE S623, dry climate, quoted in an ASHS abstract and a county water balance sheet"
_FACTOR = "ANSI/ASABE S623 plant factors"
_ROOTS = "Extension handbooks' usual root depth, managed landscape"


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant type.

    ``coefficient`` share of the short reference ET a healthy stand needs, January first, months of the
    northern hemisphere [-]; ``root_depth_mm`` depth to water where nobody has looked [mm].
    """

    name: str
    coefficient: Sourced[Months]
    root_depth_mm: Sourced[float]


def _all_year(value: float) -> Months:
    return (value,) * 12


# The published page prints 0.61 for warm-season turf in January; other copies of it print 0.55.
_COOL: Months = (0.61, 0.64, 0.75, 1.04, 0.95, 0.88, 0.94, 0.86, 0.74, 0.75, 0.69, 0.60)
_WARM: Months = (0.61, 0.54, 0.76, 0.72, 0.79, 0.68, 0.71, 0.71, 0.62, 0.54, 0.58, 0.55)

PLANTS: dict[str, Plant] = {
    "cool_turf": Plant(
        "Cool-season turf",
        Sourced(_COOL, _TURF, "confirmed"),
        Sourced(178.0, f"{_ROOTS}, 6 to 8 in (fescue 10 to 12)", "from memory"),
    ),
    "warm_turf": Plant(
        "Warm-season turf",
        Sourced(_WARM, _TURF, "confirmed"),
        Sourced(254.0, f"{_ROOTS}, 8 to 12 in and more", "from memory"),
    ),
    "shrubs": Plant(
        "Shrubs",
        Sourced(_all_year(0.5), _WOODY, "confirmed"),
        Sourced(457.0, f"{_ROOTS}, 12 to 24 in", "from memory"),
    ),
    "trees": Plant(
        "Trees",
        Sourced(_all_year(0.5), _WOODY, "confirmed"),
        Sourced(762.0, f"{_ROOTS}, 24 to 36 in", "from memory"),
    ),
    "ground_cover": Plant(
        "Ground cover",
        Sourced(_all_year(0.5), _WOODY, "confirmed"),
        Sourced(254.0, f"{_ROOTS}, 8 to 12 in", "from memory"),
    ),
    "flowers": Plant(
        "Annual flowers",
        Sourced(_all_year(0.8), _FACTOR, "from memory"),
        Sourced(152.0, f"{_ROOTS}, 6 in", "from memory"),
    ),
    "vegetables": Plant(
        "Vegetables",
        Sourced(_all_year(0.8), "taken as annual bedding; S623 leaves food crops out", "assumed"),
        Sourced(305.0, "a garden bed, 12 in; common practice, no source", "assumed"),
    ),
    "native": Plant(
        "Native and desert-adapted",
        Sourced(_all_year(0.3), f"{_FACTOR}, desert-adapted plants", "from memory"),
        Sourced(457.0, f"{_ROOTS}, as shrubs", "from memory"),
    ),
}


def monthly_coefficient(plant: str, *, southern: bool = False) -> Months:
    """Return a plant type's twelve coefficients, January first; shifted by six months south of the equator.

    Raises
    ------
    ValueError
        If the key is not one of ``PLANTS``.
    """
    if plant not in PLANTS:
        raise ValueError(f"plant is {plant!r}, accepted are {', '.join(PLANTS)}")
    months = PLANTS[plant].coefficient.value
    return months[6:] + months[:6] if southern else months
