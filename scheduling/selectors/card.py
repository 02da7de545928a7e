"""What to key in at a controller of any make, for the programs it holds in a night."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from math import ceil

from fleet.models import Controller, Zone
from scheduling.models import Program, ZoneRun
from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN
from scheduling.numerics.run_times import minutes_at
from scheduling.numerics.split_starts import Split, split_starts
from scheduling.numerics.timeline import Run
from scheduling.selectors.held import held_by
from scheduling.selectors.simulate import Entry

STARTS_APART = 5.0  # whole five minutes are easier to key in
NOON, LAST_MINUTE = time(12, 0), 1439


@dataclass(frozen=True)
class Line:
    """One zone of a program: minutes to key in, minutes as they run at the percent, cycles and soak."""

    zone: Zone
    minutes: float
    runs_minutes: float
    cycles: int = 1
    cycle: float | None = None
    soak: float | None = None


@dataclass(frozen=True)
class Keyed:
    """One program as it is keyed in.

    ``instead_of`` is the letter of the program whose runs it shares, where the controller cannot cycle and
    soak and that program took two letters.
    """

    program: Program
    letter: str
    days: str
    starts: list[time]
    percent: int
    lines: list[Line]
    instead_of: str = ""


@dataclass(frozen=True)
class Card:
    """What a controller is to hold.

    ``by_starts`` tells of programs that soak through several starts; ``warnings`` what can't be done so.
    """

    controller: Controller
    night: date
    programs: list[Keyed]
    by_starts: bool
    warnings: list[str]


def controller_card(controller: Controller, *, night: date) -> Card:
    """Return the card of a controller, with its site loaded; four queries.

    A controller that cannot cycle and soak gets the same minutes in several starts, each no longer than the
    longest cycle and at least the soak apart.
    """
    box = held_by([controller], first=night, last=night).box(controller, night)
    return card_of(controller, sorted(box.entries, key=lambda e: e.program.letter), night=night)


def card_of(controller: Controller, entries: Sequence[Entry], *, night: date) -> Card:
    """Return the card of a controller for some programs, saved or not, in the order of their letters."""
    programs: list[Keyed] = []
    warnings: list[str] = []
    free = max(0, controller.program_capacity - len(entries))
    letters = iter(_unused({entry.program.letter for entry in entries}))
    by_starts = False
    for entry in entries:
        if controller.cycle_and_soak or not any(run.cycle for run in entry.runs):
            programs.append(_as_entered(entry, controller))
            continue
        split = _split(entry, controller, letters=2 if free else 1)
        if split.starts == len(entry.program.starts) == 1:
            programs.append(_as_entered(entry, controller, split=False))
        else:
            by_starts = True
            second = next(letters) if len(split.parts) > 1 else ""
            free -= bool(second)
            programs += _in_starts(entry, controller, split, second=second)
        warnings += _warnings(entry, split)
    return Card(controller, night, programs, by_starts, warnings)


def _as_entered(entry: Entry, controller: Controller, *, split: bool = True) -> Keyed:
    program = entry.program
    return Keyed(
        program=program,
        letter=program.letter,
        days=program.days,
        starts=sorted(program.start_times()),
        percent=entry.percent,
        lines=[_line(run, run.minutes, entry, controller, split=split) for run in entry.runs],
    )


def _line(run: ZoneRun, minutes: float, entry: Entry, controller: Controller, *, split: bool) -> Line:
    running = float(minutes_at([entry.percent / 100.0], [minutes], controller.minute_step)[0, 0])
    if not split or not run.cycle or running <= run.cycle:
        return Line(run.zone, minutes, running)
    cycles = int(-(-running // run.cycle))
    return Line(run.zone, minutes, running, cycles=cycles, cycle=run.cycle, soak=run.soak or 0.0)


def _split(entry: Entry, controller: Controller, *, letters: int) -> Split:
    """Share the minutes so that even at a percent above 100 no run passes its longest cycle."""
    stretched = max(1.0, entry.percent / 100.0)
    runs = [Run(run.minutes, (run.cycle or float("inf")) / stretched, run.soak or 0.0) for run in entry.runs]
    most = max(1, controller.starts_per_program // max(1, len(entry.program.starts)))
    return split_starts(
        runs,
        most_starts=most,
        step=controller.minute_step,
        letters=letters,
        at_once=controller.zones_at_once,
        round_to=STARTS_APART,
    )


def _in_starts(entry: Entry, controller: Controller, split: Split, *, second: str) -> list[Keyed]:
    stretched = max(1.0, entry.percent / 100.0)
    offsets = [[_up(offset * stretched) for offset in part.offsets] for part in split.parts]
    lasts = max(max(own) for own in offsets)
    programs = []
    for part, own, letter in zip(split.parts, offsets, (entry.program.letter, second), strict=False):
        starts = [
            _later(at, offset - _past_midnight(at, lasts))
            for at in entry.program.start_times()
            for offset in own
        ]
        programs.append(
            Keyed(
                program=entry.program,
                letter=letter,
                days=entry.program.days,
                starts=sorted(starts, key=lambda at: (at < NOON, at)),
                percent=entry.percent,
                lines=[
                    _line(run, minutes, entry, controller, split=False)
                    for run, minutes in zip(entry.runs, part.minutes, strict=True)
                    if minutes > 0
                ],
                instead_of=entry.program.letter if letter != entry.program.letter else "",
            )
        )
    return programs


def _up(minutes: float) -> float:
    return ceil(minutes / STARTS_APART - 1e-9) * STARTS_APART


def _past_midnight(at: time, minutes: float) -> float:
    """Return by how much starts must come sooner, so that the last isn't on another day than the first.

    A start after midnight would go by the next day's watering days. [min]
    """
    last = at.hour * 60 + at.minute + minutes
    return max(0.0, _up(last - LAST_MINUTE)) if at >= NOON else 0.0


def _later(at: time, minutes: float) -> time:
    return (datetime.combine(date(2000, 1, 3), at) + timedelta(minutes=minutes)).time()


def _unused(taken: set[str]) -> list[str]:
    return [letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if letter not in taken]


def _warnings(entry: Entry, split: Split) -> list[str]:
    program = entry.program
    found = []
    if split.longest > 1e-6:
        found.append(
            f"Program {program.letter}: this controller holds too few starts. Runs are up to "
            f"{split.longest:g} min longer than the soil takes at once: look for runoff."
        )
    found += _shared_too_thin(entry, split)
    lost = [
        f"zone {run.zone.number} {abs(minutes):g} min {'less' if minutes > 0 else 'more'}"
        for run, minutes in zip(entry.runs, split.lost, strict=True)
        if abs(minutes) > 1e-6
    ]
    if lost:
        found.append(
            f"Program {program.letter}: the minutes can't be shared evenly among its starts: "
            f"{', '.join(lost)}."
        )
    return found


def _shared_too_thin(entry: Entry, split: Split) -> list[str]:
    """Say which zones several starts leave too little at a time, or nothing at all."""
    letter, runs = entry.program.letter, list(enumerate(entry.runs))
    if split.starts < 2:
        return []
    thin = sorted(
        {
            (run.zone.number, part.minutes[n])
            for part in split.parts
            for n, run in runs
            if 1e-6 < part.minutes[n] < LEAST_CYCLE_MIN - 1e-6
        }
    )
    dry = [n for n, run in runs if run.minutes > 1e-6 and not any(part.minutes[n] for part in split.parts)]
    told = []
    if thin:
        zones = ", ".join(f"zone {number} {minutes:g} min" for number, minutes in thin)
        told.append(
            f"Program {letter}: too short to wet anything: {zones} a start. A program of their own with "
            "fewer starts would do."
        )
    if dry:
        zones = ", ".join(f"zone {entry.runs[n].zone.number}" for n in dry)
        told.append(
            f"Program {letter}: nothing is left for {zones}. Key it in a program of its own with one start."
        )
    return told
