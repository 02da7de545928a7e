"""The water budget of the very days and zones that an account counts, so that use and budget compare."""

import numpy as np
from numpy.typing import NDArray

from reports.selectors.budget import is_special
from reports.selectors.program_days import ProgramDays, counted_days

Floats = NDArray[np.float64]


def budget_days(days: ProgramDays) -> dict[int, Floats]:
    """Return the budget of each site by day, (days,); zones left out of an account are left out here. [L]

    What it is stands in ``reports/selectors/budget.py``; food and reclaimed water count in full.
    """
    field = days.field
    past = len(days.days)
    controllers = {c.pk: c for c in field.rows.controllers}
    began = {
        site.pk: days.began[:, [controllers[key[0]].site_id == site.pk for key in days.programs]].any(axis=1)
        for site in field.rows.sites
    }
    counts = counted_days(field, days.away)
    et = field.weather.reference_et_mm[:past][:, field.cell_of_zone]
    found: dict[int, Floats] = {}
    for site in field.rows.sites:
        own = [n for n, of in enumerate(field.site_of_zone) if of.pk == site.pk]
        factor = np.array(
            [
                1.0
                if is_special(field.zones[n], controllers[field.zones[n].controller_id])
                else site.client.company.budget_factor
                for n in own
            ]
        )
        litres = (et[:, own] * counts[:, own] * field.survey.area_m2[own] * factor).sum(axis=1)
        found[site.pk] = np.where(began[site.pk], litres, 0.0)
    return found
