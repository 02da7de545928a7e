"""A rule's cap of minutes per zone and watering day: which percents keep it."""

from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from fleet.selectors.site_rule import exempt, rule_of
from scheduling.numerics.run_times import minutes_at
from scheduling.season.field import Field
from scheduling.services.groups import Group

DAYS = 14


def keeps_zone_minutes(
    field: Field, group: Group, percents: NDArray[np.int64], *, standing: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Tell which percents of a group keep every zone within its minutes on every coming date, (P,).

    The controller's other programs count as they stand; ``standing`` are the percents of all programs.
    """
    rule = rule_of(group.site, field.rows.on)
    if rule is None or rule.zone_minutes is None:
        return np.ones(len(percents), dtype=bool)
    zones = {zone.pk: zone for zone in field.rows.zones}
    columns = field.columns_of_controller[group.controller.pk]
    mine = [
        n
        for n in np.flatnonzero(np.isin(field.entered.program, columns)).tolist()
        if not exempt(rule, zones[field.rows.runs[n].zone_id])
    ]
    if not mine:
        return np.ones(len(percents), dtype=bool)
    entered, own, took = field.entered, set(group.columns), {}
    for n in mine:
        column = int(entered.program[n])
        held = percents if column in own else standing[[column]]
        minutes = minutes_at(held / 100.0, entered.minutes[[n]], entered.step[[n]])[:, 0]
        took[n] = minutes * len(field.programs[column].start_times())
    kept = np.ones(len(percents), dtype=bool)
    dates = [field.rows.on + timedelta(days=n) for n in range(DAYS)]
    for together in {tuple(c for c in columns if field.programs[c].waters_on(day)) for day in dates}:
        total: dict[int, NDArray[np.float64]] = {}
        for n in mine:
            if int(entered.program[n]) in together:
                zone = field.rows.runs[n].zone_id
                total[zone] = total.get(zone, np.zeros(1)) + took[n]
        for minutes in total.values():
            kept &= minutes <= rule.zone_minutes + 1e-6
    return kept
