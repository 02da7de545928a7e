"""A table of readings, bills or hours: its columns matched, looked at, then taken whole or not at all."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from common.errors import NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.meter_files.kinds import (
    CLOCKS,
    COLUMNS,
    ENDS,
    HOURS,
    KINDS,
    LENGTHS,
    LIMITS,
    ORDERS,
    READINGS,
    UNITS,
    guess,
    guess_kind,
    guess_unit,
    meanings,
)
from desk.meter_files.reading import Read, Said, read_table
from desk.meter_files.taking import Counts, take
from desk.pages.meters import meter_of
from desk.set_up.tables import Table, read_file
from fleet.models import Meter, MeterFile
from fleet.services.meter_files import bring_file, forget_file, say_of_file

SHOWN, WRONG = 60, 60
NO = ""


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def meter_table(request: StaffRequest, pk: int) -> HttpResponse:
    """Read a table, show what it would become, and take it."""
    meter = meter_of(request, pk)
    file = MeterFile.objects.filter(meter=meter, by=request.user).first()
    if request.method != "POST":
        return _show(request, meter, file)
    try:
        return _done(request, meter, file)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as refused:
        return _show(request, meter, file, error=refused, status=422)


def _done(request: StaffRequest, meter: Meter, file: MeterFile | None) -> HttpResponse:
    do, here = request.POST.get("do", ""), redirect(request.path)
    if do == "read":
        _read_in(request, meter)
        return here
    if file is None:
        return here
    if do == "forget":
        forget_file(file=file)
        return here
    said = _said(request, file)
    if asdict(said) != file.said:
        say_of_file(file=file, said=asdict(said))
    return _take(request, meter, file, said) if do == "take" else here


def _read_in(request: StaffRequest, meter: Meter) -> None:
    name, content = _brought(request)
    head = read_file(name, content, LIMITS)[0]
    kind = guess_kind(head)
    columns = guess(head, kind)
    said = Said(
        kind=kind,
        unit=guess_unit(head, meter.unit),
        columns=columns,
        head=any(columns),
        order="mdy" if request.member.company.units == "us" else "dmy",
    )
    bring_file(meter=meter, by=request.user, name=name, content=content, said=asdict(said))


def _brought(request: StaffRequest) -> tuple[str, bytes]:
    file = request.FILES.get("file")
    if file is not None:
        if (file.size or 0) > LIMITS.bytes:
            raise Refused(f"A file of at most {LIMITS.bytes // 1_000_000} MB.", field="file")
        return str(file.name), file.read(LIMITS.bytes + 1)
    text = request.POST.get("paste", "").replace("\0", "")
    if not text.strip():
        raise Refused("Paste some rows, or choose a file.", field="paste")
    return "", text.encode()


def _said(request: StaffRequest, file: MeterFile) -> Said:
    """Return what the form says, where it says something that was offered; another kind is guessed anew."""
    before, post = Said(**file.said), request.POST
    kind = _one_of(post.get("kind"), KINDS, before.kind)
    if kind != before.kind:
        columns = guess(_table(file)[0], kind)
    else:
        offered = {one.key for one in COLUMNS[kind]} | {NO}
        columns = [
            key if (key := post.get(f"column-{n}", old)) in offered else old
            for n, old in enumerate(before.columns)
        ]
    return Said(
        kind=kind,
        unit=_one_of(post.get("unit"), UNITS, before.unit),
        columns=columns,
        head=bool(post.get("head")),
        order=_one_of(post.get("order"), ORDERS, before.order),
        clock=_one_of(post.get("clock"), CLOCKS, before.clock),
        ends=_one_of(post.get("ends"), ENDS, before.ends),
        minutes=_one_of(post.get("minutes"), LENGTHS, before.minutes),
    )


def _one_of(text: str | None, choices: Any, otherwise: str) -> str:
    return text if text is not None and text in dict(choices) else otherwise


def _table(file: MeterFile) -> Table:
    return read_file(file.name, bytes(file.content), LIMITS)


def _meters(request: StaffRequest, meter: Meter, said: Said) -> list[Meter]:
    if "meter" not in said.columns:
        return [meter]
    rows = Meter.objects.visible_to(request.user).of_company(request.member.company_id)
    return list(rows.select_related("site__client"))


def _take(request: StaffRequest, meter: Meter, file: MeterFile, said: Said) -> HttpResponse:
    meters = _meters(request, meter, said)
    read = read_table(_table(file), said, meter=meter, others=meters)
    if read.errors:
        raise Refused("Nothing was taken yet: see the rows marked.")
    instead = request.POST.get("differ") == "instead"
    try:
        counts = take(read, kind=said.kind, meters=meters, by=request.user, instead=instead)
    except ValidationError as error:
        raise Refused(" ".join(error.messages)) from error
    forget_file(file=file)
    notices.say(request, _words(counts))
    return redirect("desk:meter-bills" if said.kind == "bills" else "desk:meter", meter.pk)


def _words(counts: Counts) -> str:
    told = [f"{counts.stored:,} row{'' if counts.stored == 1 else 's'} stored"]
    told += [f"{counts.same:,} were there already"] if counts.same else []
    told += [f"{counts.replaced:,} written over"] if counts.replaced else []
    told += (
        [f"{counts.conflicting:,} differ from what is stored, which was kept"] if counts.conflicting else []
    )
    return ", ".join(told) + "."


def _show(
    request: StaffRequest,
    meter: Meter,
    file: MeterFile | None,
    *,
    error: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        "meter": meter,
        "site": meter.site,
        "error": error,
        "file": file,
        "action": request.path,
        "megabytes": LIMITS.bytes // 1_000_000,
        "pasted": request.POST.get("paste", "").replace("\0", "")[:20_000],
        "about_paste": "For example Date, Reading; or From, To, Usage, Charge; or Time, Gallons.",
    }
    if file is not None:
        context |= _seen(request, meter, file)
    return render(request, "desk/meter_table.html", context, status=status)


def _seen(request: StaffRequest, meter: Meter, file: MeterFile) -> dict[str, Any]:
    said, table = Said(**file.said), _table(file)
    meters, read, counts, cannot = _meters(request, meter, said), Read(), None, ""
    try:
        read = read_table(table, said, meter=meter, others=meters)
        if not read.errors:
            counts = take(read, kind=said.kind, meters=meters, by=request.user, instead=False, on_trial=True)
    except Refused as refused:
        cannot = refused.message
    except ValidationError as error:
        cannot = " ".join(error.messages)
    body = table[1:] if said.head else table
    wrong = sorted({n for n, _ in read.errors})
    shown = [*range(min(SHOWN, len(body))), *(n for n in wrong if n >= SHOWN)][: SHOWN + WRONG]
    return {
        "said": said,
        "cannot": cannot,
        "brought": {"head": said.head},
        "meanings": meanings(said.kind),
        "heads": list(zip(said.columns, table[0], strict=False)),
        "lines": [
            {
                "number": n + 1,
                "cells": [(text, read.errors.get((n, m), "")) for m, text in enumerate(body[n])],
                "error": read.errors.get((n, -1), ""),
            }
            for n in shown
        ],
        "count": len(body),
        "wrong": len(wrong),
        "counts": counts,
        "notes": read.notes,
        "choices": [
            ("kind", "The rows are", said.kind, KINDS),
            ("unit", "Amounts are in", said.unit, UNITS),
            ("order", "Dates in figures are", said.order, ORDERS),
            *([("clock", "Times are", said.clock, CLOCKS)] if said.kind in (READINGS, HOURS) else []),
            *(
                [
                    ("ends", "Times say", said.ends, ENDS),
                    ("minutes", "Each interval lasts", said.minutes, LENGTHS),
                ]
                if said.kind == HOURS
                else []
            ),
        ],
    }
