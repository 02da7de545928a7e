"""Until when a skip can still reach its controller."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduling.delivery import channel_named
from scheduling.models import Change, Program
from scheduling.season.nights import runs_on

NOON = time(12, 0)


def running(programs: Iterable[Program], *, night: date) -> list[Program]:
    """Return the versions of programs that run in a night."""
    listed = list(programs)
    return [p for p, runs in zip(listed, runs_on(listed, night=night), strict=True) if runs]


def night_starts(program: Program, *, night: date) -> list[datetime]:
    """Return a program's starts in the night from noon to noon, as wall-clock times, skips not taken off."""
    morning = night + timedelta(days=1)
    starts = [
        datetime.combine(night if start >= NOON else morning, start)
        for start in program.start_times()
        if program.waters_on(night if start >= NOON else morning)
    ]
    return sorted(starts)


def last_call(change: Change, programs: Iterable[Program]) -> datetime | None:
    """Return the latest moment to decide on a skip, or None where it skips no start.

    ``programs`` are all programs of the change's controller, any version.
    """
    first = first_start(change, programs)
    lead = timedelta(hours=channel_named(change.program.controller.delivery).lead_hours)
    return first - lead if first is not None else None


def first_start(change: Change, programs: Iterable[Program]) -> datetime | None:
    """Return the first start a skip leaves out, in the site's time, or None where it skips none."""
    night, controller = change.effective_from, change.program.controller
    covered = running(programs, night=night)
    if not change.whole_controller:
        covered = [p for p in covered if p.letter == change.program.letter]
    starts = [start for program in covered for start in night_starts(program, night=night)]
    if not starts:
        return None
    return min(starts).replace(tzinfo=ZoneInfo(controller.site.timezone))
