"""What it would be worth to repair heads that water unevenly."""

from calendar import monthrange
from collections.abc import Iterator

import numpy as np

from scheduling.numerics.gross_to_net import usable_share
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Look

REPAIRED = 0.75  # a low-quarter uniformity that well kept heads reach: common practice, no source
POOR = 0.60


def worth_of_even_heads(look: Look) -> Iterator[Found]:
    """Yield zones whose uniformity was measured and is poor, with the water a usual year would take less."""
    if look.usual_et_mm_day is None:
        return
    days = np.array([monthrange(2001, month)[1] for month in range(1, 13)], dtype=np.float64)
    yearly = look.usual_et_mm_day * days
    for program, runs in look.running:
        for place in np.unique(look.field.zone_of_run[runs]):
            zone = look.zone(int(place))
            if zone.basis.get("uniformity") != "measured" or not zone.uniformity or zone.uniformity >= POOR:
                continue
            survey = look.field.survey
            need = float((yearly * survey.kl[:, place]).sum() * look.field.trim_today[place])
            ground = float(np.asarray(survey.application.ground_share)[place])
            now, then = (float(usable_share(u, boundary=look.boundary)) for u in (zone.uniformity, REPAIRED))
            litres = need / ground * (1 / now - 1 / then) * float(survey.area_m2[place])
            if litres <= 0:
                continue
            yield Found(
                kind="uneven heads",
                controller=look.controller_of(program),
                program=program,
                zone=zone,
                litres_year=litres,
                words=(
                    f"Zone {zone.number} {zone.name} waters unevenly: {100 * zone.uniformity:.0f} % was "
                    f"measured. At {100 * REPAIRED:.0f} %, which well kept heads reach, a usual year would "
                    f"take {100 * (1 - now / then):.0f} % less water here."
                ),
                facts={"uniformity": zone.uniformity, "repaired": REPAIRED, "need_mm_year": need},
            )
