"""The EPA's water budget of a site: what its peak watering month allows and what zones require then."""

from calendar import monthrange
from dataclasses import dataclass

import numpy as np

from fleet.models import Site, Zone
from fleet.numerics.landscape_coefficient import landscape_coefficient
from fleet.numerics.plants import PLANTS
from fleet.numerics.sun import SUNS
from reports.numerics.budget import peak_allowance, peak_requirement
from weather.models import MonthlyNormal

COMMON_YEAR = 2001


@dataclass(frozen=True)
class PeakMonth:
    """A site's peak watering month in a usual year, 1 to 12, and its budget; zones left out are named. [L]"""

    month: int
    allowed_l: float
    required_l: float
    left_out: list[str]

    @property
    def met(self) -> bool:
        """Tell whether zones require no more than the month allows."""
        return self.required_l <= self.allowed_l


def peak_month(site: Site) -> PeakMonth | None:
    """Return the budget of the month whose usual ET exceeds its usual rain by most, in two queries.

    A month whose rain isn't known counts without. Both figures are of the same zones: those whose plants,
    sun, area and uniformity are known. None where no zone is, or no usual weather.
    """
    normals = MonthlyNormal.objects.filter(cell=site.cell_id).order_by("month")
    usual = {
        month: (et * monthrange(COMMON_YEAR, month)[1], rain or 0.0)
        for month, et, rain in normals.values_list("month", "reference_et_mm", "rain_mm")
    }
    zones = list(Zone.objects.filter(controller__site=site).order_by("controller", "number"))
    known = [zone for zone in zones if _is_known(zone)]
    if not usual or not known:
        return None
    month = max(usual, key=lambda one: usual[one][0] - usual[one][1])
    et, rain = usual[month]
    kl = landscape_coefficient(
        [zone.plant for zone in known],
        microclimate=np.array([SUNS[zone.sun].microclimate.value for zone in known], dtype=np.float64),
        southern=np.full(len(known), site.latitude < 0),
    )
    area = np.array([zone.area_m2 for zone in known], dtype=np.float64)
    required = peak_requirement(
        et,
        rain_mm=rain,
        coefficient=np.asarray(kl)[month - 1],
        uniformity=np.array([zone.uniformity for zone in known], dtype=np.float64),
        area_m2=area,
    )
    return PeakMonth(
        month=month,
        allowed_l=float(peak_allowance(et, area_m2=area.sum())),
        required_l=float(required.sum()),
        left_out=[f"zone {zone.number}" for zone in zones if not _is_known(zone)],
    )


def _is_known(zone: Zone) -> bool:
    return zone.plant in PLANTS and zone.sun in SUNS and bool(zone.area_m2) and bool(zone.uniformity)
