"""Rain and freeze sensors: where one is fitted, the nights it would hold back are taken off."""

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site
from scheduling.season.rows import Rows
from scheduling.season.sky import Sky

# Set points where nobody noted the sensor's own: 6 mm (a quarter inch) of rain on the date the night begins,
# and 3 degC at the night's low. Common practice, no source.
RAIN_STOPS_AT_MM = 6.0
FREEZE_STOPS_BELOW_C = 3.0


def suspended(rows: Rows, sky: Sky, *, site_of_controller: dict[int, Site]) -> NDArray[np.bool_]:
    """Tell which balance days get no water because a sensor holds the night back, shape (days, programs)."""
    cell = sky.columns_of(rows.sites)
    controllers = {c.pk: c for c in rows.controllers}
    off = np.zeros((len(sky.days), len(rows.programs)), dtype=bool)
    wet = np.zeros(sky.rain_expected_mm.shape, dtype=bool)
    wet[1:] = sky.rain_expected_mm[:-1] >= RAIN_STOPS_AT_MM
    cold = np.nan_to_num(sky.window.t_min_c, nan=99.0) < FREEZE_STOPS_BELOW_C
    for n, program in enumerate(rows.programs):
        controller = controllers[program.controller_id]
        column = cell[site_of_controller[controller.pk].pk]
        if controller.rain_sensor:
            off[:, n] |= wet[:, column]
        if controller.freeze_sensor:
            off[:, n] |= cold[:, column]
    return off
