"""The two charts of one change, each with its description and the numbers behind it."""

from typing import Any

from desk import dates, figures
from desk.charts.depletion import Limits, depletion_chart
from desk.charts.percent_curve import percent_curve
from scheduling.models import Change
from scheduling.selectors.why import Fate, Seen


def depletion_of(change: Change, seen: Seen, fate: Fate, *, units: str) -> dict[str, Any] | None:
    """Return the chart of a zone's soil water under keep and change."""
    zone = fate.zone
    shown = list(zip(seen.days, fate.keep, fate.change, strict=False))
    if not shown:
        return None
    digits = 3 if units == "us" else 1

    def in_units(mm: float) -> float:
        return round(figures.depth_value(mm, units), digits)

    words = course_words(change)
    worst_keep, worst_change = max(fate.keep), max(fate.change)
    description = (
        f"Water missing from zone {zone.number} over {len(shown)} days: {words[0]} reaches "
        f"{figures.depth(worst_keep, units)} at most, {words[1]} {figures.depth(worst_change, units)}; "
        f"plants slow down from {figures.depth(zone.raw_mm, units)} on."
    )
    days = [
        {
            "day": dates.day(day.date, units).replace(dates.NBSP, " "),
            "keep": in_units(keep),
            "change": in_units(then),
            "rain": in_units(day.rain_effective_mm),
        }
        for day, keep, then in shown
    ]
    limits = Limits(
        held_to=in_units(seen.margin * zone.raw_mm), dry=in_units(zone.raw_mm), most=in_units(zone.taw_mm)
    )
    unit = figures.depth_unit(units)
    return depletion_chart(days, limits, unit=unit, words=words, description=description)


def course_words(change: Change) -> tuple[str, str]:
    """Return what keeping and what changing is called."""
    if change.is_skip:
        return "watered as usual", "skipped"
    if change.is_alteration:
        return "kept as it is", "altered"
    return f"keep {change.current} %", f"{change.proposed} %"


def curve_of(change: Change, seen: Seen) -> dict[str, Any] | None:
    """Return the chart of every percent the controller can hold."""
    if not change.is_percent or len(seen.curve) < 2:
        return None
    good_enough = float(seen.stored.get("least") or 0.0) + float(seen.stored.get("tolerance") or 0.0)
    good_enough = max(good_enough, float(seen.stored.get("bearable") or 0.0))
    description = (
        f"Mean stress of the worst zone for {len(seen.curve)} percents from {seen.curve[0].percent} to "
        f"{seen.curve[-1].percent}: it is {seen.curve[0].stress:.2f} at {seen.curve[0].percent} % and "
        f"{seen.curve[-1].stress:.2f} at {seen.curve[-1].percent} %. "
        f"{change.proposed} % is the smallest that does well enough."
    )
    points = [
        {"percent": point.percent, "stress": round(point.stress, 4), "refused": point.refused}
        for point in seen.curve
    ]
    return percent_curve(
        points,
        good_enough=good_enough,
        current=change.current,
        proposed=change.proposed,
        description=description,
    )
