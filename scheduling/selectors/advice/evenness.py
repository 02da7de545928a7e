"""What it would be worth to repair heads that water unevenly."""

from calendar import monthrange
from collections.abc import Iterator

import numpy as np

from fleet.numerics.heads import HEADS
from scheduling.numerics.gross_to_net import usable_share
from scheduling.selectors.advice.found import Found
from scheduling.selectors.advice.look import Look

POOR = 0.60  # below it evenness is worth a word, whatever the heads: our own choice


def worth_of_even_heads(look: Look) -> Iterator[Found]:
    """Yield zones whose uniformity was measured and is poor, with the water a usual year would take less.

    Heads in good order reach what the table of heads says, no more is promised.
    """
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
            good = HEADS[zone.head].uniformity.value
            now, then = (float(usable_share(u, boundary=look.boundary)) for u in (zone.uniformity, good))
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
                    f"measured. At {100 * good:.0f} %, which such heads reach in good order, a usual year "
                    f"would take {100 * (1 - now / then):.0f} % less water here."
                ),
                facts={"uniformity": zone.uniformity, "repaired": good, "need_mm_year": need},
            )
