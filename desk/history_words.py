"""The history of a site in words: what happened, why, and by whom."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse

from desk import dates, figures
from desk.altered_words import altered_line
from fleet.numerics.zone_faults import FAULTS
from scheduling.models import Setting
from scheduling.selectors.site_history import Entry

CONTRACTOR = "your contractor"
POLICY = "approved by policy"


@dataclass(frozen=True)
class Reading:
    """How somebody reads a history: their units, the site's time zone, what is theirs to know."""

    units: str
    timezone: str
    staff: bool
    notes: Mapping[int, str]


@dataclass(frozen=True)
class Line:
    """One entry in words."""

    day: date
    label: str
    about: str
    what: str
    why: str
    who: str
    url: str = ""


def line(entry: Entry, reading: Reading) -> Line:
    """Return an entry in words."""
    row = entry.row
    what, why, who = WORDS[entry.sort.key](row, reading)
    change = row.pk if entry.sort.key == "decisions" else getattr(row, "change_id", None)
    return Line(
        day=entry.day,
        label=entry.sort.label,
        about=_about(row),
        what=what,
        why=why,
        who=who if reading.staff else CONTRACTOR,
        url=reverse("desk:why", args=[change]) if reading.staff and change else "",
    )


def _about(row: Any) -> str:
    """Return the program or zone an entry is about, with its controller."""
    zone, program = getattr(row, "zone", None), getattr(row, "program", None)
    if zone is not None:
        return f"Zone {zone.number} {zone.name}, {zone.controller}"
    if program is not None:
        return f"{program}, {program.controller}"
    return f"{row}, {row.controller}" if hasattr(row, "controller") else ""


Words = tuple[str, str, str]


def _decision(row: Any, reading: Reading) -> Words:
    if row.is_skip:
        what = f"{row.get_kind_display()}, {_nights(row, reading)}: {row.get_status_display()}"
    elif row.is_alteration:
        what = f"{altered_line(row, reading.units)}: {row.get_status_display()}"
    else:
        # a decision without a value of its own (declined) is about the value proposed
        value = row.proposed if row.decided is None else row.decided
        what = f"{figures.percent(row.current)} to {figures.percent(value)}: {row.get_status_display()}"
        if row.decided is not None and row.decided != row.proposed:
            what += f" (proposed {figures.percent(row.proposed)})"
    at = dates.moment(row.decided_at, reading.timezone, reading.units)
    who = POLICY if row.automatic else str(row.decided_by or "")
    note = "" if row.automatic else reading.notes.get(row.pk, "")
    return what, f"{row.reason} Note: {note}" if note else row.reason, f"{who}, {at}" if who else at


def _percent(row: Any, reading: Reading) -> Words:
    what = f"runs at {figures.percent(row.percent)} from this night on"
    if row.change is not None:
        return what, row.change.reason, _decider(row.change)
    told = {
        Setting.How.FOUND: "Found at the controller.",
        Setting.How.ENTERED: "Entered at the controller.",
        Setting.How.CHANGE: "Entered as decided.",
    }
    return what, told[row.how], ""


def _skip(row: Any, reading: Reading) -> Words:
    who = _decider(row.change) if row.change is not None else ""
    return f"no water, {_nights(row, reading)}", row.reason, who


def _program(row: Any, reading: Reading) -> Words:
    starts = ", ".join(dates.clock_time(start, reading.units) for start in row.start_times())
    what = f"waters {dates.watering_days(row.days)}, starts {starts or 'not set'}"
    if row.ended:
        what += f"; no longer run from {dates.day(row.ended, reading.units)}"
    return what, "As entered at the controller.", ""


def _soil(row: Any, reading: Reading) -> Words:
    what = f"{figures.share(row.depletion_share)} of the water plants can use was gone"
    return what, f"Found by {row.how}." if row.how else "Somebody looked at the soil.", str(row.by or "")


def _trim(row: Any, reading: Reading) -> Words:
    what = f"counted at {figures.share(row.factor)} of its usual need from this day on"
    return what, row.reason if reading.staff else "What the plants showed.", str(row.by or "")


def _correction(row: Any, reading: Reading) -> Words:
    what = f"the site counted at {figures.share(row.factor)} of the reference ET of its place"
    return what, row.reason, str(row.by or "")


def _episode(row: Any, reading: Reading) -> Words:
    until = f" until {dates.day(row.effective_to, reading.units)}" if row.effective_to else ""
    permit = f"Permit {row.permit}." if row.permit else "Not watered by need, so its percent isn't searched."
    note = f" {row.note}" if row.note and reading.staff else ""
    return f"{row.get_kind_display()} from this day{until}", permit + note, str(row.by or "")


def _round(row: Any, reading: Reading) -> Words:
    done = f"done {dates.day(row.done_on, reading.units)}" if row.done_on else "under way"
    return f"{row.get_kind_display()}, {row.controller or row.site}: {done}", "", str(row.by or "")


def _test(row: Any, reading: Reading) -> Words:
    if row.not_seen_because:
        return "not seen", row.not_seen_because, str(row.by or "")
    parts = [FAULTS[key].words for key in row.seen if key in FAULTS] or ["nothing amiss"]
    if row.flow_l_min is not None:
        taken = "" if row.replaced is None else ", in the survey since"
        parts.append(f"flow {figures.flow(row.flow_l_min, reading.units)}{taken}")
    if row.pressure_kpa is not None:
        parts.append(figures.pressure(row.pressure_kpa, reading.units))
    return "; ".join(parts), row.note, str(row.by or "")


def _cans(row: Any, reading: Reading) -> Words:
    found = row.found
    what = (
        f"{figures.rate(found.rate_mm_h, reading.units)}, driest quarter {figures.share(found.low_quarter)} "
        f"of {found.cans} cans"
    )
    if row.replaced is not None:
        what += "; taken into the survey"
    return what, row.note, str(row.by or "")


def _rain(row: Any, reading: Reading) -> Words:
    what = f"{figures.depth(row.rain_mm, reading.units)} of rain counted here"
    return what, f"{row.get_how_display().capitalize()}.", str(row.by or "")


def _visit(row: Any, reading: Reading) -> Words:
    made = f"made {dates.moment(row.done_at, reading.timezone, reading.units)}" if row.done_at else "planned"
    return f"visit ({row.get_kind_display()}), {made}", row.note or "No note was left.", ""


def _finding(row: Any, reading: Reading) -> Words:
    what = f"{row.part} ({row.get_status_display()})"
    if row.lost_l_day:
        what += f", about {figures.water(row.lost_l_day, reading.units)} a day lost"
    return what, row.note or "Found at the site.", ""


def _access(row: Any, reading: Reading) -> Words:
    whose = "the client may read its" if reading.staff else "you may read your"
    return f"{whose} own sites from this day on", "Access was opened.", ""


def _decider(change: Any) -> str:
    return POLICY if change.automatic else str(change.decided_by or "")


def _nights(row: Any, reading: Reading) -> str:
    first, last = (dates.day(d, reading.units) for d in (row.effective_from, row.effective_to))
    return f"night of {first}" if first == last else f"nights of {first} to {last}"


WORDS: dict[str, Callable[[Any, Reading], Words]] = {
    "decisions": _decision,
    "percents": _percent,
    "skips": _skip,
    "programs": _program,
    "soil": _soil,
    "trims": _trim,
    "corrections": _correction,
    "episodes": _episode,
    "rounds": _round,
    "tests": _test,
    "cans": _cans,
    "rain": _rain,
    "visits": _visit,
    "findings": _finding,
    "access": _access,
}
