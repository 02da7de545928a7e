"""What a catch-can audit found, in words."""

from dataclasses import dataclass, field

from desk import figures
from desk.sheets.measured import CM2_PER_SQUARE_INCH
from fleet.models import CanAudit
from fleet.numerics.catch_cans import LEAST_CANS, Audit
from fleet.numerics.heads import HEADS
from scheduling.numerics.gross_to_net import run_time_multiplier

# ASAE S398.1, as the audit guidelines of the Irrigation Association (2009) quote it: 5 mph.
STRONGEST_WIND_M_S = 5 * 0.44704
# The same guidelines: about 1.5 mL for each square inch of opening.
LEAST_CATCH_ML_CM2 = 1.5 / CM2_PER_SQUARE_INCH


@dataclass(frozen=True)
class Told:
    """An audit in words: what it found, what it means, what is doubtful about it."""

    found: Audit
    meaning: list[str]
    doubts: list[str] = field(default_factory=list)


def told(audit: CanAudit, units: str) -> Told:
    """Return an audit in words; its zone need not be stored with it."""
    found = audit.found
    return Told(found, _meaning(audit, found), _doubts(audit, found, units))


def _meaning(audit: CanAudit, found: Audit) -> list[str]:
    longer = float(run_time_multiplier(found.low_quarter))
    lines = [
        f"The driest quarter of the cans caught {figures.share(found.low_quarter)} of the average, "
        f"the drier half {figures.share(found.low_half)}.",
        f"Watered so that the dry spots have enough, this zone runs {longer:.2f} times as long as one with "
        "perfectly even heads.",
    ]
    head = HEADS.get(audit.zone.head)
    if head is not None:
        good = head.uniformity.value
        word = "as good as" if found.low_quarter >= good else "less even than"
        lines.append(f"That is {word} {head.name.lower()} heads in good order: {figures.share(good)}.")
    return lines


def _doubts(audit: CanAudit, found: Audit, units: str) -> list[str]:
    doubts = []
    if not found.enough:
        doubts.append(
            f"{found.cans} cans are few: {LEAST_CANS} make a sound audit (Irrigation Association, 2009)."
        )
    if found.cans % 4:
        doubts.append(
            f"{found.cans} cans don't divide by four: the driest {max(round(found.cans / 4), 1)} count as "
            "the quarter."
        )
    if audit.wind_m_s is not None and audit.wind_m_s > STRONGEST_WIND_M_S + 1e-9:
        limit = figures.wind(STRONGEST_WIND_M_S, units)
        doubts.append(
            f"Too much wind: audit at {limit} or less, else the wind is measured and not the heads."
        )
    if audit.wind_m_s is None:
        doubts.append("The wind wasn't noted. Calm mornings give the truest audits.")
    mean = sum(audit.volumes_ml) / found.cans
    if mean < LEAST_CATCH_ML_CM2 * audit.throat_cm2:
        doubts.append(
            f"On average {mean:.0f} mL were caught; some {LEAST_CATCH_ML_CM2 * audit.throat_cm2:.0f} mL read "
            "truer. Let the zone run longer."
        )
    return doubts
