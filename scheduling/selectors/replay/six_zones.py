"""The six-zone landscape on which weather-based scheduling is tested.

No permissible copy of its table could be opened: every value is from memory. Checked are the products of
capacity, root depth and allowed depletion, which give the six printed storages; see
``tests/scheduling/numerics``. Its monthly turf coefficients were not recovered; those of the University of
California stand in for them, and zone 1's shade is a declared factor. A score on it is our reading of the
protocol, not a certification.
"""

from typing import Final

import numpy as np

from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import MM_PER_INCH
from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.soil_water import readily_available_water, total_available_water
from scheduling.selectors.replay.plots import Plots, cycles_and_soaks

SOURCE: Final = "SWAT climatologically based controllers, 8th testing protocol (2008), Table 1, from memory"
SHADE_OF_ZONE_1: Final = 0.8  # 75 % shade: the landscape method's factor for shade lies at 0.5 to 0.9
SQUARE_FEET_TO_M2: Final = 0.09290304

ROOT_DEPTH_IN = (10.0, 8.1, 20.0, 28.0, 25.0, 9.2)
CAPACITY = (0.17, 0.17, 0.09, 0.13, 0.18, 0.17)
ALLOWED_DEPLETION = (0.50, 0.40, 0.50, 0.55, 0.50, 0.35)
RATE_IN_H = (1.60, 1.60, 1.40, 1.40, 0.20, 0.35)
EFFICIENCY = (0.55, 0.60, 0.70, 0.75, 0.80, 0.65)
AREA_SQUARE_FEET = (1_000.0, 1_200.0, 800.0, 500.0, 650.0, 1_600.0)
INTAKE_IN_H = (0.35, 0.15, 0.50, 0.40, 0.20, 0.10)
ACCUMULATION_IN = (0.25, 0.16, 0.26, 0.24, 0.26, 0.10)
NAMES = (
    "1 tall fescue, shade",
    "2 bermuda",
    "3 ground cover",
    "4 woody shrubs",
    "5 trees and ground cover, drip",
    "6 bermuda, slope",
)


def six_zones() -> Plots:
    """Return the landscape, in SI."""
    cool = np.array(PLANTS["cool_turf"].coefficient.value) * SHADE_OF_ZONE_1
    warm = np.array(PLANTS["warm_turf"].coefficient.value)
    kl = np.stack([cool, warm, *(np.full(12, k) for k in (0.55, 0.40, 0.61)), warm], axis=1)
    taw = total_available_water(CAPACITY, MM_PER_INCH * np.array(ROOT_DEPTH_IN))
    application = Application(
        rate_mm_h=MM_PER_INCH * np.array(RATE_IN_H),
        ground_share=np.ones(6),
        usable_share=np.array(EFFICIENCY),
        intake_mm_h=MM_PER_INCH * np.array(INTAKE_IN_H),
        accumulation_mm=MM_PER_INCH * np.array(ACCUMULATION_IN),
    )
    cycle, soak = cycles_and_soaks(application)
    return Plots(
        names=list(NAMES),
        kl=kl,
        taw_mm=taw,
        raw_mm=readily_available_water(taw, ALLOWED_DEPLETION),
        area_m2=SQUARE_FEET_TO_M2 * np.array(AREA_SQUARE_FEET),
        application=application,
        cycle_min=cycle,
        soak_min=soak,
        assumed={name: ["every value of the table is from memory"] for name in NAMES},
    )
