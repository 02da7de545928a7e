"""What leaving nights out for a client does to water and plants, program by program."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from common.errors import Refused
from fleet.models import ClientNote
from scheduling.models import Change
from scheduling.selectors.dry_days import WetNights
from scheduling.selectors.season_load import Loaded, load_season
from scheduling.services.alteration_effect import together
from scheduling.services.coming_days import Coming, by_unit, coming_days
from scheduling.services.groups import Group
from scheduling.services.inputs import Written, common_inputs, traces
from scheduling.services.outlook import WEEK, Outlook, keep_trace, risk_of, trace_of
from scheduling.services.proposal import Proposal
from scheduling.services.wording import dated_day, risk_words, wish_reason

Ints = NDArray[np.intp]


def wish_proposals(
    note: ClientNote, nights: Sequence[WetNights], *, on: date
) -> tuple[dict[int, Proposal], dict[int, str]]:
    """Return what leaving nights out does, by program, all of them together; and why it can't be told.

    Plants are looked at from the first night to a week after the last, each zone with all its programs.
    """
    site = note.site
    if site.cell_id is None:
        return {}, {one.program.pk: "No weather is stored for this site." for one in nights}
    until = max(one.last for one in nights)
    loaded = load_season([site.pk], on=on, timezone=site.timezone, days_ahead=(until - on).days + 2 + WEEK)
    own: dict[int, list[WetNights]] = defaultdict(list)
    for one in nights:
        own[one.program.controller_id].append(one)
    found: dict[int, Proposal] = {}
    why_not: dict[int, str] = {}
    for some in own.values():
        try:
            found |= _of_controller(note, loaded, some)
        except Refused as refused:
            why_not |= {one.program.pk: refused.message for one in some}
    return found, why_not


def reason_of(note: ClientNote) -> str:
    """Say why nights are left out for a note."""
    first = note.dry_from or note.written_at.date()
    return wish_reason(first=first, last=note.dry_to or first, words=note.words)


def _of_controller(note: ClientNote, loaded: Loaded, nights: Sequence[WetNights]) -> dict[int, Proposal]:
    letters = [one.program.letter for one in nights]
    group = together(loaded, nights[0].program.controller, letters)
    coming = coming_days(loaded.field, loaded.balance, [group])
    runs = {one.program.pk: _runs(coming, one.program.letter) for one in nights}
    starts = coming.starts.copy()
    for one in nights:
        starts[_rows(coming, one), runs[one.program.pk][:, np.newaxis]] = 0
    left = by_unit(starts * coming.kept_net_mm, coming.unit_of_run, units=len(coming.taw_mm))
    outlook = Outlook(keep=keep_trace(coming), change=trace_of(coming, left + coming.fixed_mm))
    return {
        one.program.pk: _proposal(
            note, loaded, coming, group, one, runs=runs[one.program.pk], outlook=outlook
        )
        for one in nights
    }


def _runs(coming: Coming, letter: str) -> Ints:
    """Return the runs of one program of the group, as places on the horizon's runs axis."""
    field = coming.field
    letters = [field.programs[field.program_of_run[run]].letter for run in coming.runs]
    return np.flatnonzero([own == letter for own in letters])


def _rows(coming: Coming, nights: WetNights) -> Ints:
    """Return the balance days the water of some nights counts on: each night's is the next morning's."""
    on = coming.field.rows.on
    return np.arange((nights.first - on).days + 1, (nights.last - on).days + 2)


def _proposal(
    note: ClientNote,
    loaded: Loaded,
    coming: Coming,
    group: Group,
    nights: WetNights,
    *,
    runs: Ints,
    outlook: Outlook,
) -> Proposal:
    if not runs.size:
        raise Refused("Its survey is incomplete, so what it would do can't be computed.")
    field, rows = coming.field, _rows(coming, nights)
    units = np.unique(coming.unit_of_run[runs])
    days = len(rows) + WEEK
    keep, change = (
        risk_of(coming, course, units, first=int(rows[0]), days=days)
        for course in (outlook.keep, outlook.change)
    )
    numbers = [field.zones[coming.zone_of_unit[risk.unit]].number for risk in (keep, change)]
    area = field.survey.area_m2[field.zone_of_run[coming.runs[runs]]]
    given = coming.starts[rows][:, runs].sum(axis=0) * coming.kept_gross_mm[runs] * area
    own = replace(group, lead=nights.program, current=_percent(coming, group, nights))
    return Proposal(
        group=own,
        kind=Change.Kind.WISH_SKIP,
        proposed=None,
        effective_from=nights.first,
        effective_to=nights.last,
        reason=reason_of(note),
        litres=-float(given.sum()),
        risk_keep=keep,
        risk_change=change,
        keep_words=risk_words(keep, numbers[0], name=dated_day),
        change_words=risk_words(change, numbers[1], name=dated_day),
        deciding_zone=field.zones[coming.zone_of_unit[change.unit]].pk,
        write_down=partial(
            _inputs,
            loaded,
            coming,
            own,
            nights,
            units=units,
            runs=runs,
            outlook=outlook,
            deciding=change.unit,
        ),
    )


def _percent(coming: Coming, group: Group, nights: WetNights) -> int:
    """Return the percent a program runs at from tonight on."""
    field = coming.field
    own = [column for column in group.columns if field.programs[column].letter == nights.program.letter]
    return int(field.percents[field.today + 1, own[0]]) if own else group.current


def _inputs(
    loaded: Loaded,
    coming: Coming,
    group: Group,
    nights: WetNights,
    *,
    units: Ints,
    runs: Ints,
    outlook: Outlook,
    deciding: int,
) -> dict[str, Any]:
    written = Written(
        units=units,
        runs=runs,
        net_mm=coming.kept_net_mm[runs][np.newaxis],
        gross_mm=coming.kept_gross_mm[runs][np.newaxis],
        minutes=coming.field.minutes[coming.runs[runs]][np.newaxis],
        days=min(int(_rows(coming, nights)[-1]) + WEEK + 1, coming.days),
    )
    by_zone = traces(coming, written, keep=outlook.keep, change=outlook.change)
    zone = coming.field.zones[coming.zone_of_unit[deciding]].pk
    return common_inputs(coming, group, loaded.balance, written) | {
        "deciding": zone,
        "percents": [group.current],
        "skip": {
            "reason_kind": "wish",
            "night": nights.first.isoformat(),
            "last_night": nights.last.isoformat(),
        },
        "trace": by_zone[str(zone)],
        "traces": by_zone,
    }
