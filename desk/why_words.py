"""Sentences of the page of one change."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from desk import dates, figures
from fleet.models import Zone
from scheduling.models import Change
from scheduling.selectors.replay.unknowns import EFFICIENCY, SMALLER
from scheduling.selectors.why import Fate, Seen
from scheduling.selectors.why_sum import WhatIf
from scheduling.selectors.why_wrong import IfWrong
from scheduling.selectors.why_zone import ZoneSeen
from weather.numerics.reference_et import METHODS, NONE
from weather.services.reference_et import HOURLY

ET_METHODS = {
    HOURLY: "the hour, ASCE-EWRI",
    METHODS[0]: "Penman-Monteith from all inputs",
    **{one: one.replace("penman-monteith, no", "Penman-Monteith without") for one in METHODS[1:NONE]},
    "hargreaves-samani": "Hargreaves-Samani, from temperatures alone",
}
WORSE = {
    "uniformity": "Evenness of the heads is not from cans. Were it 10 points lower,",
    "rate": "The precipitation rate is not measured. Were it a tenth lower,",
    "soil": "The soil is not confirmed. A lighter one holds less and wants water more often, not more of it.",
    "root depth": "Root depth is not confirmed. Shallower roots want water more often.",
    "area": "The area is not measured. It bears on the water and money shown, not on the percent.",
    "sun": "Sun and shade are not confirmed. A shadier zone needs less.",
}


WRONG = {
    "believed": "All as it was taken for",
    "efficiency": f"Only {figures.share(EFFICIENCY)} of the water believed reaches the roots",
    "soil": f"The soil holds {figures.share(SMALLER)} of what was believed, about a class of texture lighter",
    "start": "The soil was drawn to where growth begins to slow on the first day",
}


@dataclass(frozen=True)
class Line:
    """One figure as it was then and as it is now."""

    label: str
    then: str
    now: str

    @property
    def differs(self) -> bool:
        """Tell whether it moved."""
        return self.then != self.now


def labels_of(zone: ZoneSeen) -> dict[str, str]:
    """Return what a zone's survey keys mean, in words."""
    found = {}
    for name in ("plant", "soil", "head", "sun"):
        choices: dict[Any, Any] = dict(getattr(Zone._meta.get_field(name), "choices", None) or [])
        found[name] = str(choices.get(getattr(zone, name), getattr(zone, name))).lower()
    return found


def lead(change: Change, seen: Seen, fate: Fate) -> str:
    """Return which zone decides and how close it comes."""
    zone = fate.zone
    first = f"Zone {zone.number} decides" if zone is seen.deciding else f"Zone {zone.number} does not decide"
    if change.is_alteration:
        first = f"What it does is shown for zone {zone.number}"
    window = [depth for day, depth in enumerate(fate.change) if day in seen.window]
    if not window:
        return f"{first}."
    room = zone.raw_mm - max(window)
    outcome = f"at {change.proposed} %" if change.is_percent else ("skipped" if change.is_skip else "altered")
    if (
        room < 0
        and change.is_alteration
        and zone.raw_mm
        < max([depth for day, depth in enumerate(fate.keep) if day in seen.window], default=0.0)
    ):
        return f"{first}. Its soil gets drier than plants like for a while, kept or altered."
    if room < 0:
        return f"{first}. {outcome.capitalize()}, its soil gets drier than plants like."
    share = round(100 * room / zone.raw_mm) if zone.raw_mm else 0
    return (
        f"{first}. {outcome.capitalize()}, {share} % of what plants may use is still there on its driest day."
    )


def worse_words(what: WhatIf) -> str:
    """Return what an assumption's being wrong would mean."""
    start = WORSE.get(what.field, f"Not measured: {what.field}.")
    if what.percent is None or not start.endswith(","):
        return start
    return f"{start} about {what.percent} % would be right."


def wrong_words(one: IfWrong) -> str:
    """Return what was taken wrong, and by how much."""
    return WRONG[one.name]


def then_and_now(then: Seen, now: Seen, *, units: str) -> list[Line]:
    """Return the figures that make the decision, as they were and as they are."""
    lines = [
        _outcome(then, now, units),
        Line("weather measured to", _through(then, units), _through(now, units)),
        Line("reference ET ahead", _sum(then, "et0_mm", units), _sum(now, "et0_mm", units)),
        *_corrections(then, now),
        Line(
            "rain credited ahead",
            _sum(then, "rain_effective_mm", units),
            _sum(now, "rain_effective_mm", units),
        ),
    ]
    zone_then = then.deciding
    zone_now = next((z for z in now.zones if zone_then is not None and z.pk == zone_then.pk), None)
    if zone_then is not None and zone_now is not None:
        words = f"missing from zone {zone_then.number} to begin with"
        lines.append(
            Line(words, figures.depth(zone_then.start_mm, units), figures.depth(zone_now.start_mm, units))
        )
    return lines if any(line.differs for line in lines) else []


def _outcome(then: Seen, now: Seen, units: str) -> Line:
    """Return what came out of it: the percent, or the water of an alteration."""
    if "litres" in then.stored and "litres" in now.stored:
        litres = (figures.water(float(seen.stored["litres"]), units, signed=True) for seen in (then, now))
        return Line("water in its week", *litres)
    return Line("proposed", _percent(then), _percent(now))


def _percent(seen: Seen) -> str:
    if seen.stored.get("skip"):
        return "skip"
    return figures.percent(seen.stored.get("proposed"))


def _through(seen: Seen, units: str) -> str:
    through = (seen.stored.get("weather") or {}).get("observed_through")
    return dates.day(date.fromisoformat(through), units) if through else "–"


def _corrections(then: Seen, now: Seen) -> list[Line]:
    """Return the site's correction of reference ET where there is one, then or now."""
    told = [figures.share(_factor(seen)) for seen in (then, now)]
    return [Line("site counts at", *told)] if (_factor(then), _factor(now)) != (1.0, 1.0) else []


def _factor(seen: Seen) -> float:
    correction = (seen.stored.get("weather") or {}).get("site_correction") or {}
    return float(correction.get("factor", 1.0))


def _sum(seen: Seen, name: str, units: str) -> str:
    return figures.depth(sum(getattr(day, name) for day in seen.days), units)
