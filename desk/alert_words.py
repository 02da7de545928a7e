"""Alerts about use in words, with their evidence."""

from desk import dates, figures
from reports.models import UseAlert


def alert_line(alert: UseAlert, units: str) -> str:
    """Return what an alert says in a sentence."""
    water = figures.water(abs(alert.litres), units)
    days = _days(alert, units)
    if alert.kind == UseAlert.Kind.IDLE:
        return f"{water} through {alert.meter} {days} in hours no valve was due"
    if alert.kind == UseAlert.Kind.FLOW:
        ratio, nights = alert.evidence["ratio"], alert.evidence["nights"]
        more = "more" if ratio > 1 else "less"
        than = "than was tested" if alert.evidence["tested"] else "than rate and area say"
        share = figures.share(abs(ratio - 1))
        if alert.zone is None:
            return f"programs took {share} {more} through {alert.meter} {than}; {nights} nights tell"
        return f"zone {alert.zone} takes {share} {more} {than}; {nights} nights alone on {alert.meter} tell"
    day = alert.evidence["days"][-1]
    used, due = figures.water(day["used_l"], units), figures.water(day["due_l"], units)
    return f"{alert.meter} counted {used} {days}; programs explain {due}"


def what_to_try(alert: UseAlert) -> str:
    """Return where to look first; common practice, no source."""
    if alert.kind == UseAlert.Kind.IDLE:
        return "A valve that doesn't shut, a leak before the valves, a hose, a program nobody entered here."
    if alert.kind == UseAlert.Kind.BEYOND:
        return "A leak, a percent changed at the controller, or a program nobody entered here."
    if alert.evidence["ratio"] > 1:
        return "A broken head or pipe, or larger nozzles than noted."
    return "A clogged filter, a half-shut valve, low pressure, or fewer heads than noted."


def _days(alert: UseAlert, units: str) -> str:
    if alert.first == alert.last:
        return f"on {dates.day(alert.first, units)}"
    return f"from {dates.day(alert.first, units)} to {dates.day(alert.last, units)}"
