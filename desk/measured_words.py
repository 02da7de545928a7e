"""How good a baseline is, in plain words."""

from math import isfinite

from desk import figures
from desk.dates import long_date
from reports.models import MeterBaseline
from reports.selectors.measured import MeterSavings

CAUTION_R2 = 0.75
TERM_WORDS = {
    "days": "use by the day, whatever the weather (indoors, habit, leaks)",
    "net need": "what plants lacked beyond rain",
    "spring": "the time of year",
    "summer": "the time of year",
}


def how_good(baseline: MeterBaseline) -> list[str]:
    """Return a line for each figure that says how well a baseline knows its meter."""
    told = baseline.figures
    explains = list(dict.fromkeys(TERM_WORDS[term] for term in baseline.terms))
    lines = [
        f"It explains a bill by {', '.join(explains)}.",
        f"A usual bill lies {figures.share(told['cv_rmse'])} of the mean off what it says; up to 25 % can be "
        "measured against (CV(RMSE)).",
        f"{figures.share(told['r2'])} of what bills differ by is explained (R²)"
        + ("." if told["r2"] >= CAUTION_R2 else "; below 75 % it knows the meter poorly."),
        _bias(told["nmbe"]),
        f"Bills follow the one before by {told['rho']:.2f}, so its {len(baseline.points)} bills are worth "
        f"{told['effective']:.0f} that know nothing of each other.",
    ]
    return [line.replace(" %", figures.NBSP + "%") for line in lines]


def _bias(nmbe: float) -> str:
    if abs(nmbe) < 0.005:
        return "Over all its bills it says neither too much nor too little (NMBE below 0.5 %)."
    way = "little" if nmbe > 0 else "much"
    return f"Over all its bills it says {figures.share(abs(nmbe))} too {way} (NMBE)."


def result(found: MeterSavings, units: str) -> str:
    """Return in a sentence what was measured."""
    saved, off = figures.water(abs(found.saved_l), units), figures.water(found.uncertainty_l, units)
    if not isfinite(found.uncertainty_l):
        return "How far the saving may be off can't be told: its bills are worth too few."
    if found.detected:
        return f"Detected: {saved} less than the weather would have had it use, give or take {off}."
    if found.saved_l <= 0:
        return f"No saving: {saved} more than the weather would have had it use, give or take {off}."
    return f"Not detected: {saved} less, but that may be off by {off}, more than half of it."


def days_of(found: MeterSavings, units: str) -> str:
    """Return the days of the bills that count."""
    first, last = found.bills[0].point.first, found.bills[-1].point.last
    return f"{long_date(first, units)} {first.year} to {long_date(last, units)} {last.year}"
