"""What was done in a month, and why: for the weather, by the contractor, mended, at the client's wish."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import Count

from fleet.models import Finding, Site, Visit, ZoneTrim
from scheduling.models import Change, FieldEntry, Program, Setting, Skip
from scheduling.models.changes import ALTERATIONS

Line = dict[str, Any]
LONGEST_WORDS = 160
KINDS = {"rain": "rain_skip", "freeze": "freeze_skip", "wind": "wind_skip"}


def doings_of(client_ids: Sequence[int], *, first: date, last: date) -> dict[int, dict[str, list[Line]]]:
    """Return for each client what was done from ``first`` to ``last``, in seven queries for all of them.

    ``weather``: percents and skips the weather asked for. ``contractor``: what people decided otherwise,
    and altered programs. ``repairs``: what was mended, and visits. ``wishes``: nights left out by
    hand (``wish``), and those a client asked for in a note (``asked``).
    """
    done: dict[int, dict[str, list[Line]]] = {
        pk: {"weather": [], "contractor": [], "repairs": [], "wishes": []} for pk in client_ids
    }
    several = _several(client_ids)
    for pk, line in _percents(client_ids, first, last, several):
        done[pk]["weather" if line.pop("proposed") else "contractor"].append(line)
    for pk, line in _skips(client_ids, first, last):
        done[pk]["weather" if line["kind"] in KINDS else "wishes"].append(line)
    for pk, line in _altered(client_ids, first, last, several):
        done[pk]["contractor"].append(line)
    for pk, line in [*_trims(client_ids, first, last)]:
        done[pk]["contractor"].append(line)
    for pk, line in [*_visits(client_ids, first, last), *_mended(client_ids, first, last)]:
        done[pk]["repairs"].append(line)
    return done


def _several(client_ids: Sequence[int]) -> set[int]:
    """Return the sites with more than one controller, where a program's letter isn't enough."""
    rows = Site.objects.filter(client__in=client_ids).annotate(boxes=Count("controllers"))
    return {*rows.filter(boxes__gt=1).values_list("pk", flat=True)}


def _place(program: Program, several: set[int]) -> Line:
    box = program.controller
    return {
        "site": box.site.name,
        "controller": box.name,
        "several": box.site_id in several,
        "program": program.letter,
        "name": program.name,
    }


def _percents(
    client_ids: Sequence[int], first: date, last: date, several: set[int]
) -> list[tuple[int, Line]]:
    """Return each program letter's way from the percent before the month to the one at its end."""
    rows = (
        Setting.objects.filter(
            program__controller__site__client__in=client_ids,
            effective_from__gte=first,
            effective_from__lte=last,
        )
        .exclude(how=Setting.How.FOUND)
        .select_related("program__controller__site", "change")
        .order_by("program__controller__site__name", "program__controller__name", "program__letter", "pk")
    )
    steps: dict[tuple[int, str, bool], list[Setting]] = defaultdict(list)
    for row in rows:
        followed = row.change is not None and row.change.decided == row.change.proposed
        steps[row.program.controller_id, row.program.letter, followed].append(row)
    lines = []
    for (_, _, followed), some in steps.items():
        some.sort(key=lambda row: row.effective_from)
        begin = some[0].change.current if some[0].change is not None else None
        line = _place(some[-1].program, several) | {
            "kind": "percent",
            "before": begin,
            "after": some[-1].percent,
            "times": len(some),
            "on": some[-1].effective_from.isoformat(),
            "proposed": followed,
        }
        lines.append((some[0].program.controller.site.client_id, line))
    return lines


def _skips(client_ids: Sequence[int], first: date, last: date) -> list[tuple[int, Line]]:
    """Return how many nights of each controller were left out, by kind."""
    rows = (
        Skip.objects.filter(
            program__controller__site__client__in=client_ids,
            effective_from__lte=last,
            effective_to__gte=first,
        )
        .select_related("program__controller__site", "change__client_note")
        .order_by("program__controller__site__name", "program__controller__name", "effective_from")
    )
    nights: dict[tuple[int, int, str, str], set[date]] = defaultdict(set)
    where: dict[int, Line] = {}
    for row in rows:
        kind = next((k for k, v in KINDS.items() if row.change is not None and row.change.kind == v), "wish")
        asked = row.change is not None and row.change.is_wish
        box = row.program.controller
        where[box.pk] = {"site": box.site.name, "controller": box.name}
        reason = row.reason if kind == "wish" else ""
        if asked:
            kind, reason = "asked", _asked_in(row)
        begin, end = max(row.effective_from, first), min(row.effective_to, last)
        nights[box.site.client_id, box.pk, kind, reason] |= {
            date.fromordinal(n) for n in range(begin.toordinal(), end.toordinal() + 1)
        }
    return [
        (client, where[box] | {"kind": kind, "nights": len(some), "on": min(some).isoformat(), "why": why})
        for (client, box, kind, why), some in nights.items()
    ]


def _asked_in(row: Skip) -> str:
    """Return what the client wrote, shortened; the reason of the skip where the note is gone."""
    note = row.change.client_note if row.change is not None else None
    if note is None:
        return row.reason
    said = " ".join(note.words.split())
    return said if len(said) <= LONGEST_WORDS else f"{said[: LONGEST_WORDS - 1]}…"


def _altered(client_ids: Sequence[int], first: date, last: date, several: set[int]) -> list[tuple[int, Line]]:
    rows = (
        Change.objects.filter(
            program__controller__site__client__in=client_ids,
            kind__in=ALTERATIONS,
            status=Change.Status.APPLIED,
            applied_on__gte=first,
            applied_on__lte=last,
        )
        .select_related("program__controller__site")
        .order_by("applied_on", "pk")
    )
    return [
        (
            row.program.controller.site.client_id,
            _place(row.program, several)
            | {
                "kind": row.kind,
                "on": row.applied_on.isoformat() if row.applied_on else "",
                "why": row.reason,
            },
        )
        for row in rows
    ]


def _trims(client_ids: Sequence[int], first: date, last: date) -> list[tuple[int, Line]]:
    rows = (
        ZoneTrim.objects.filter(
            zone__controller__site__client__in=client_ids, effective_from__gte=first, effective_from__lte=last
        )
        .select_related("zone__controller__site")
        .order_by("effective_from", "pk")
    )
    return [
        (
            row.zone.controller.site.client_id,
            {
                "kind": "trim",
                "site": row.zone.controller.site.name,
                "zone": f"{row.zone.number} {row.zone.name}",
                "factor": row.factor,
                "on": row.effective_from.isoformat(),
                "why": row.reason,
            },
        )
        for row in rows
    ]


def _visits(client_ids: Sequence[int], first: date, last: date) -> list[tuple[int, Line]]:
    rows = (
        Visit.objects.filter(
            site__client__in=client_ids, date__gte=first, date__lte=last, done_at__isnull=False
        )
        .select_related("site")
        .order_by("date", "pk")
    )
    return [
        (
            row.site.client_id,
            {
                "kind": "visit",
                "site": row.site.name,
                "what": row.get_kind_display(),
                "on": row.date.isoformat(),
            },
        )
        for row in rows
    ]


def _mended(client_ids: Sequence[int], first: date, last: date) -> list[tuple[int, Line]]:
    """Return what was mended, by the day that was said, else the day it was found."""
    rows = (
        Finding.objects.filter(
            zone__controller__site__client__in=client_ids, found_on__lte=last, status=Finding.Status.MENDED
        )
        .select_related("zone__controller__site")
        .order_by("found_on", "pk")
    )
    since = _mended_on([row.pk for row in rows])
    return [
        (
            row.zone.controller.site.client_id,
            {
                "kind": "mended",
                "site": row.zone.controller.site.name,
                "zone": f"{row.zone.number} {row.zone.name}",
                "what": row.part,
                "lost_l_day": row.lost_l_day,
                "on": since.get(row.pk, row.found_on).isoformat(),
            },
        )
        for row in rows
        if first <= since.get(row.pk, row.found_on) <= last
    ]


def _mended_on(ids: Sequence[int]) -> dict[int, date]:
    """Return the day a technician said each finding was mended."""
    said = FieldEntry.objects.filter(kind=FieldEntry.Kind.MENDED, row__in=ids, taken_back_at=None).order_by(
        "at"
    )
    return {pk: moment.date() for pk, moment in said.values_list("row", "at")}
