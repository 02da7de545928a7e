"""The cycles and soaks with which a run puts on no more than its soil and slope take."""

from math import ceil, inf

import numpy as np

from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN, longest_cycle_min, shortest_soak_min
from scheduling.numerics.splitting import down_to_step
from scheduling.selectors.advice.look import Look

SOAK_STEP = 5.0
Split = tuple[float | None, float | None]
WHOLE: Split = (None, None)


def cycle_and_soak(look: Look, run: int, minutes: float) -> Split:
    """Return the longest cycle and its soak for a run of so many minutes, neither where it needs none. [min]

    Where even the shortest cycle that wets anything is too long, cycle and soak stay as they are entered.
    """
    a = look.field.application
    rate, intake, pond, ground = (
        float(np.asarray(getattr(a, name))[run])
        for name in ("rate_mm_h", "intake_mm_h", "accumulation_mm", "ground_share")
    )
    longest = float(longest_cycle_min(rate, intake_mm_h=intake, accumulation_mm=pond, ground_share=ground))
    if longest == inf or minutes <= longest:
        return WHOLE
    cycle = down_to_step(longest, float(look.field.minute_step[run]))
    if cycle < LEAST_CYCLE_MIN:
        return _entered(look, run)
    soak = float(shortest_soak_min(cycle, rate_mm_h=rate, intake_mm_h=intake, ground_share=ground))
    return cycle, ceil(soak / SOAK_STEP - 1e-9) * SOAK_STEP


def _entered(look: Look, run: int) -> Split:
    cycle = float(look.field.cycle_min[run])
    return (None, None) if cycle == inf else (cycle, float(look.field.soak_min[run]))
