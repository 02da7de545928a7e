"""A table of zones brought along: its columns matched, looked at, then taken whole or not at all."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from common.errors import MovedOn, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.company import today_of
from desk.pages.set_up.drafts import drafts_of
from desk.pages.set_up.step import address, box_of
from desk.set_up.columns import COLUMNS
from desk.set_up.matching import guess, meanings, rows_of
from desk.set_up.steps import BY_KEY
from desk.set_up.tables import MOST_BYTES, Table, read_file, read_text
from desk.set_up.whole import Box, Whole
from desk.set_up.zone_rows import MOST_ROWS, keyed, read_rows
from desk.spreadsheets import Cell, as_xlsx
from fleet.services.drafts import Page, mark_of, save_part

SHOWN = 200


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def set_up_table(request: StaffRequest, pk: int) -> HttpResponse:
    """Read a table, show what it would become, and take it."""
    draft = get_object_or_404(drafts_of(request), pk=pk)
    if draft.finished_at is not None:
        return redirect("desk:set-up")
    whole = Whole(draft, request.user)
    box = box_of(request, whole)
    if request.method != "POST":
        return _show(request, whole, box)
    try:
        return _done(request, whole, box)
    except Refused as refused:
        return _show(request, whole, box, error=refused, status=422)
    except MovedOn as moved:
        notices.warn(request, moved.message)
        return redirect(f"{request.path}?box={box.key}")


def _done(request: StaffRequest, whole: Whole, box: Box) -> HttpResponse:
    do = request.POST.get("do", "")
    here = redirect(f"{request.path}?box={box.key}")
    if do == "read":
        table = _brought(request)
        columns = guess(table[0], whole.units)
        head = any(columns)
        _store(request, whole, box, {"table": table, "columns": columns, "head": head})
        return here
    brought = whole.texts(f"table-{box.key}")
    if not brought:
        return here
    if do == "forget":
        _store(request, whole, box, {})
        return here
    width = len(brought["table"][0])
    offered = {one.key for one in meanings(whole.units)}
    columns = [key if (key := request.POST.get(f"column-{n}", "")) in offered else "" for n in range(width)]
    brought = {**brought, "columns": columns, "head": bool(request.POST.get("head"))}
    whole.draft.data[f"table-{box.key}"] = whole.draft.data[f"table-{box.key}"] | {"texts": brought}
    if do != "take":
        _store(request, whole, box, brought)
        return here
    return _take(request, whole, box, brought)


def _take(request: StaffRequest, whole: Whole, box: Box, brought: dict[str, Any]) -> HttpResponse:
    rows, told = _read(whole, box, brought)
    if told:
        return _show(
            request, whole, box, error=Refused("Nothing was taken yet: see the cells marked."), status=422
        )
    part = f"zones-{box.key}"
    before = whole.texts(part).get("rows", []) if request.POST.get("how") != "instead" else []
    if len(before) + len(rows) > MOST_ROWS:
        raise Refused(f"{MOST_ROWS} zones at the most on one controller.")
    seen = request.POST.get("seen-zones", "")[:12]
    texts = {"rows": keyed([*before, *rows])}
    draft = save_part(
        draft=whole.draft, by=request.user, part=part, texts=texts, page=Page("", 0, seen), step="zones"
    )
    save_part(
        draft=draft,
        by=request.user,
        part=f"table-{box.key}",
        texts={},
        page=Page("", 0, mark_of(draft, f"table-{box.key}")),
    )
    notices.say(request, f"{len(rows)} zone{'' if len(rows) == 1 else 's'} taken into the grid.")
    return redirect(address(draft, BY_KEY["zones"], box))


def _brought(request: StaffRequest) -> Table:
    file = request.FILES.get("file")
    if file is not None:
        if (file.size or 0) > MOST_BYTES:
            raise Refused("A file of at most 1 MB.", field="file")
        return read_file(str(file.name), file.read(MOST_BYTES + 1))
    text = request.POST.get("paste", "")
    if not text.strip():
        raise Refused("Paste some rows, or choose a file.", field="paste")
    return read_text(text)


def _store(request: StaffRequest, whole: Whole, box: Box, texts: Any) -> None:
    part = f"table-{box.key}"
    seen = request.POST.get("seen", mark_of(whole.draft, part))[:12]
    save_part(draft=whole.draft, by=request.user, part=part, texts=texts, page=Page("", 0, seen))


def _read(whole: Whole, box: Box, brought: dict[str, Any]) -> tuple[list[Any], dict[tuple[int, int], str]]:
    rows, told = rows_of(
        brought["table"], brought["columns"], head=brought["head"], units=whole.units, kinds=whole.kinds
    )
    read = read_rows(rows, units=whole.units, kinds=whole.kinds, capacity=box.fields["zone_capacity"])
    keys = [column.partition(":")[0] for column in brought["columns"]]
    for n, row in enumerate(read):
        for key, message in row.errors.items():
            told.setdefault((n, keys.index(key) if key in keys else -1), message)
    return rows, told


def _show(
    request: StaffRequest, whole: Whole, box: Box, *, error: Refused | None = None, status: int = 200
) -> HttpResponse:
    brought = whole.texts(f"table-{box.key}")
    context: dict[str, Any] = {
        "draft": whole.draft,
        "box": box,
        "error": error,
        "pasted": request.POST.get("paste", "").replace("\0", "")[:20_000],
        "seen": mark_of(whole.draft, f"table-{box.key}"),
        "seen_zones": mark_of(whole.draft, f"zones-{box.key}"),
        "action": f"{request.path}?box={box.key}",
    }
    if brought:
        rows, told = _read(whole, box, brought)
        body = brought["table"][1:] if brought["head"] else brought["table"]
        context |= {
            "brought": brought,
            "meanings": meanings(whole.units),
            "heads": list(zip(brought["columns"], brought["table"][0], strict=False)),
            "lines": [
                {
                    "number": n + 1,
                    "cells": [(text, told.get((n, m), "")) for m, text in enumerate(line)],
                    "error": told.get((n, -1), ""),
                }
                for n, line in enumerate(body[:SHOWN])
            ],
            "wrong": len(told),
            "count": len(rows),
        }
    return render(request, "desk/set_up_table.html", context, status=status)


@staff
@require_safe
def template_file(request: StaffRequest, pk: int) -> HttpResponse:
    """Give a table to fill in, in the draft's units, with one invented example."""
    draft = get_object_or_404(drafts_of(request), pk=pk)
    head = ["Number", "Name", "Kind", *(column.head(draft.units) for column in COLUMNS)]
    kinds = Whole(draft, request.user).kinds
    kind = next(iter(kinds.values())).name if kinds else ""
    example: list[Cell] = [1, "Example: front lawn", kind, *[""] * len(COLUMNS)]
    example[3 + [column.key for column in COLUMNS].index("area")] = 900 if draft.units == "us" else 85
    name = f"zones-{today_of(draft.company_id).isoformat()}.xlsx"
    answer: HttpResponse = as_xlsx(head, [example], name=name, title="Zones")
    return answer
