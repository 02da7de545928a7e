"""One line of the week sheet: a change with what stands around it, read in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import QuerySet

from common import clock
from fleet.models import ZoneEpisode
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from scheduling.delivery import channel_named
from scheduling.models import Change, ChangeEvent, Program, ZoneRun
from scheduling.season.away import zones_away
from scheduling.selectors.last_call import last_call

OPEN = (Change.Status.PENDING, Change.Status.APPROVED)
Planted = dict[int, tuple[str, str]]  # plant and head of each zone


@dataclass
class Row:
    """One change with what its line shows."""

    change: Change
    zones: int = 0
    plants: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)
    needs_visit: bool = False
    last_call: datetime | None = None
    note: str = ""
    replaced_by: int | None = None
    away: list[ZoneEpisode] = field(default_factory=list)


def rows_of(changes: QuerySet[Change]) -> list[Row]:
    """Return the lines for some changes, in six queries however many they are."""
    listed = list(changes)
    planted = _planted({c.program.controller_id for c in listed})
    notes = _notes(c.pk for c in listed if c.status != Change.Status.PENDING)
    newer = _newer([c for c in listed if c.status == Change.Status.SUPERSEDED])
    programs = _programs(c.program.controller_id for c in listed if c.is_skip)
    away = _away(c for c in listed if c.status in OPEN)
    rows = []
    for change in listed:
        row = _row(change, planted)
        if change.status in OPEN:
            row.away = [one for one in away if one.zone_id in _zones(change, planted)]
        row.note = notes.get(change.pk, "")
        row.replaced_by = newer.get((change.program_id, change.kind))
        if change.is_skip:
            row.last_call = last_call(change, programs[change.program.controller_id])
        rows.append(row)
    return rows


def _planted(controllers: set[int]) -> dict[tuple[int, str], Planted]:
    """Return the zones each program of some controllers waters; the letter "" stands for all of them."""
    found: dict[tuple[int, str], Planted] = defaultdict(dict)
    runs = ZoneRun.objects.filter(program__controller__in=controllers).order_by()
    for controller, letter, zone, plant, head in runs.values_list(
        "program__controller_id", "program__letter", "zone_id", "zone__plant", "zone__head"
    ):
        found[controller, letter][zone] = found[controller, ""][zone] = (plant, head)
    return found


def _row(change: Change, planted: dict[tuple[int, str], Planted]) -> Row:
    controller, zones = change.program.controller, _zones(change, planted)
    return Row(
        change=change,
        zones=len(zones),
        plants=sorted({PLANTS[plant].name for plant, _ in zones.values() if plant in PLANTS}),
        heads=sorted({HEADS[head].name for _, head in zones.values() if head in HEADS}),
        needs_visit=channel_named(controller.delivery).needs_visit,
    )


def _zones(change: Change, planted: dict[tuple[int, str], Planted]) -> Planted:
    letter = "" if change.whole_controller else change.program.letter
    return planted.get((change.program.controller_id, letter), {})


def _away(changes: Iterable[Change]) -> list[ZoneEpisode]:
    """Return what isn't watered by need tonight at the controllers of some changes."""
    today = {
        change.program.controller_id: clock.today(change.program.controller.site.timezone)
        for change in changes
    }
    rows = (
        ZoneEpisode.objects.filter(zone__controller__in=today).select_related("zone").order_by("zone__number")
    )
    return [
        one
        for box, on in today.items()
        for one in zones_away((row for row in rows if row.zone.controller_id == box), on=on).values()
    ]


def _notes(changes: Iterable[int]) -> dict[int, str]:
    events = (
        ChangeEvent.objects.filter(change__in=list(changes)).order_by("pk").values_list("change_id", "note")
    )
    return dict(events)


def _newer(superseded: Sequence[Change]) -> dict[tuple[int, str], int]:
    if not superseded:
        return {}
    rows = (
        Change.objects.filter(program__in=[c.program_id for c in superseded])
        .exclude(status=Change.Status.SUPERSEDED)
        .order_by("pk")
        .values_list("program_id", "kind", "pk")
    )
    return {(program, kind): pk for program, kind, pk in rows}


def _programs(controllers: Iterable[int]) -> dict[int, list[Program]]:
    found: dict[int, list[Program]] = defaultdict(list)
    for program in Program.objects.filter(controller__in=set(controllers)):
        found[program.controller_id].append(program)
    return found
