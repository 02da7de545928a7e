"""What an alteration keys in, in words: short for a line of a list, and piece by piece for a card."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import time

from desk import dates, figures
from desk.cards import minutes
from scheduling.models import Change
from scheduling.models.detail import Altered, Detail, Holds, Ran


@dataclass(frozen=True)
class Piece:
    """One thing a controller holds, as it was and as it is to be."""

    what: str
    was: str
    then: str


@dataclass(frozen=True)
class Pieces:
    """What differs in one program."""

    title: str
    pieces: list[Piece]


def altered_line(change: Change, units: str) -> str:
    """Return an alteration in one short line: what, from what, to what."""
    detail = change.altered
    lead = detail.programs[0]
    if change.kind == Change.Kind.DAYS and lead.before is not None:
        return f"days {_days(lead.before)} → {_days(lead.after)}"
    moves = list(_moves(detail))
    if moves:
        return "; ".join(f"zone {run.number}: program {source} → {target}" for run, source, target in moves)
    if lead.before is not None and lead.before.starts != lead.after.starts:
        return f"starts {_starts(lead.before, units)} → {_starts(lead.after, units)}"
    return "; ".join(_runs_line(lead))


def pieces_of(detail: Detail, units: str, *, by_starts: bool = False) -> list[Pieces]:
    """Return what differs, program by program.

    ``by_starts`` leaves cycles out: the controller soaks by several starts, which its card spells out.
    """
    return [Pieces(_title(one), list(_pieces(one, units, by_starts))) for one in detail.programs]


def _pieces(one: Altered, units: str, by_starts: bool) -> Iterator[Piece]:
    before, after = one.before, one.after
    if before is None or before.days != after.days:
        yield Piece("days", _days(before), _days(after))
    if before is None or before.starts != after.starts:
        yield Piece("starts", _starts(before, units), _starts(after, units))
    if one.percent_moves:
        was = figures.percent(before.percent) if before is not None else "–"
        yield Piece("percent", was, figures.percent(after.percent))
    for run in before.runs if before is not None else ():
        if after.run_of(run.zone) is None:
            yield Piece(_zone(run), _ran(run, by_starts), "taken out of this program")
    for run in after.runs:
        was_run = before.run_of(run.zone) if before is not None else None
        if was_run is None:
            yield Piece(_zone(run), "not in this program", _ran(run, by_starts))
        elif _ran(was_run, by_starts) != _ran(run, by_starts):
            yield Piece(_zone(run), _ran(was_run, by_starts), _ran(run, by_starts))


def _runs_line(one: Altered) -> Iterator[str]:
    for run in one.after.runs:
        was = one.before.run_of(run.zone) if one.before is not None else None
        if was is None:
            continue
        if was.minutes != run.minutes:
            yield f"zone {run.number}: {was.minutes:g} → {minutes(run.minutes)}"
        elif run.held != was.held and run.cycle:
            yield f"zone {run.number}: cycles of {minutes(run.cycle)}, {minutes(run.soak or 0)} to soak"
        elif run.held != was.held:
            yield f"zone {run.number}: in one go"


def _moves(detail: Detail) -> Iterator[tuple[Ran, str, str]]:
    """Yield each zone that goes from one program to another, with both letters."""
    for one in detail.programs:
        for run in one.before.runs if one.before is not None else ():
            if one.after.run_of(run.zone) is not None:
                continue
            for other in detail.programs:
                if other is not one and other.after.run_of(run.zone) is not None:
                    yield run, one.letter, other.letter


def _title(one: Altered) -> str:
    name = f", {one.name}" if one.name else ""
    return f"Program {one.letter}{name}" + ("" if one.before is not None else " (a new one)")


def _days(held: Holds | None) -> str:
    return dates.watering_days(held.days) if held is not None else "–"


def _starts(held: Holds | None, units: str) -> str:
    if held is None:
        return "–"
    return ", ".join(dates.clock_time(time.fromisoformat(start), units) for start in held.starts) or "none"


def _zone(run: Ran) -> str:
    return f"zone {run.number} {run.name}".strip()


def _ran(run: Ran, by_starts: bool) -> str:
    if not run.cycle or by_starts:
        return minutes(run.minutes)
    soak = f", {minutes(run.soak)} to soak" if run.soak else ""
    if run.cycle >= run.minutes:  # split only where the percent makes it longer
        return f"{minutes(run.minutes)}, at most {minutes(run.cycle)} at a time{soak}"
    return f"{minutes(run.minutes)} in cycles of {minutes(run.cycle)}{soak}"
