"""One zone of a draft, surveyed: every value with its help, its source and how it is known."""

from secrets import token_hex
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from common.errors import MovedOn
from desk import notices
from desk.access import StaffRequest, staff
from desk.pages.set_up.drafts import drafts_of
from desk.pages.set_up.step import address, box_of, keep
from desk.set_up.columns import COLUMNS
from desk.set_up.differences import differences
from desk.set_up.form import kept
from desk.set_up.steps import BY_KEY
from desk.set_up.sums import BY_KEY as SUMS
from desk.set_up.sums import posted_sums, worked
from desk.set_up.survey_help import CANS, HELP, KNOWN, sources_of
from desk.set_up.whole import Box, Whole
from desk.set_up.zone_rows import PLAIN, Texts, ZoneRow
from fleet.models.zones import BASES
from fleet.services.drafts import OtherWay, mark_of


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def set_up_zone(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one zone of a draft, or keep what was typed."""
    draft = get_object_or_404(drafts_of(request), pk=pk)
    if draft.finished_at is not None:
        return redirect("desk:set-up")
    whole = Whole(draft, request.user)
    box = box_of(request, whole)
    if not box.zones:
        return redirect(address(draft, BY_KEY["zones"], box))
    place = _place(request, box)
    if request.method != "POST":
        return _show(request, whole, box, place)
    rows = [dict(row.texts) for row in box.zones]
    rows[place] = _posted(request.POST, box.zones[place])
    try:
        draft = keep(request, whole, f"zones-{box.key}", {"rows": rows}, step="zones")
    except OtherWay as other:
        return _both(request, whole, box, rows, other)
    except MovedOn as moved:
        notices.warn(request, moved.message)
        return redirect("desk:set-up")
    return _go_on(request, Whole(draft, request.user), box, place)


def _place(request: StaffRequest, box: Box) -> int:
    """Return the row asked for."""
    named = request.GET.get("row", "")
    return next((n for n, row in enumerate(box.zones) if row.texts.get("k") == named), 0)


def _posted(post: Any, before: ZoneRow) -> Texts:
    """Return the row as it was typed; a value that is told otherwise than it came is kept with that word."""
    texts: Texts = dict(before.texts) | {
        name: kept(str(post.get(name, "")))[:500] for name in PLAIN if name in post
    }
    texts["k"] = before.texts["k"]
    known: dict[str, Any] = {}
    for column in COLUMNS:
        text = kept(str(post.get(column.key, "")))[:500].strip()
        basis, cell = str(post.get(f"known-{column.key}", "")), before.cells[column.key]
        if not text and cell.filled and basis in BASES and basis != cell.basis and f"{column.key}" in post:
            text = column.text(cell.value, before.units)  # what came by itself was looked at
        texts[column.key] = text
        if basis in BASES and text:
            known[column.key] = [basis, text]
    sums = posted_sums(post)
    texts |= {"known": known, "sums": sums}
    used = str(post.get("do", "")).partition("use:")[2]
    for one in worked(sums, before.units):
        if used == one.sum.key and one.text:
            texts[one.sum.target] = one.text
            known[one.sum.target] = ["table" if one.sum.target == "rate" else "measured", one.text]
    return texts


def _go_on(request: StaffRequest, whole: Whole, box: Box, place: int) -> HttpResponse:
    now = next((one for one in whole.boxes if one.key == box.key), whole.boxes[0])
    if request.htmx:
        return _show(request, whole, now, place)
    do = str(request.POST.get("do", ""))
    to = place + {"next": 1, "back": -1}.get(do, 0)
    if do == "grid":
        return redirect(address(whole.draft, BY_KEY["zones"], now))
    to = max(0, min(to, len(now.zones) - 1))
    mended = {"next", "back", "grid"}
    if do in mended and now.zones[place].errors:
        return _show(request, whole, now, place, status=422)
    return redirect(_address(whole, now, to))


def _address(whole: Whole, box: Box, place: int) -> str:
    here = reverse("desk:set-up-zone", args=[whole.draft.pk])
    return f"{here}?box={box.key}&row={box.zones[place].texts['k']}"


def _both(request: StaffRequest, whole: Whole, box: Box, rows: list[Texts], other: OtherWay) -> HttpResponse:
    who = other.who or "Somebody"
    if request.htmx:
        context = {"conflict": True, "who": who, "step": BY_KEY["zones"], "draft": whole.draft}
        return render(request, "desk/_set_up_kept.html", context, status=409)
    whole.draft.refresh_from_db()
    part = f"zones-{box.key}"
    mark = mark_of(whole.draft, part)
    whole.draft.data[part] = whole.draft.data.get(part, {}) | {"texts": {"rows": rows}}
    mine = Whole(whole.draft, request.user)
    own = box_of(request, mine)
    apart = differences({"rows": rows}, other.texts)
    return _show(request, mine, own, _place(request, own), status=409, apart=apart, who=who, seen=mark)


def _show(
    request: StaffRequest, whole: Whole, box: Box, place: int, *, status: int = 200, **more: Any
) -> HttpResponse:
    row = box.zones[place]
    sums = worked(row.texts.get("sums") or {}, whole.units)
    context = {
        "draft": whole.draft,
        "units": whole.units,
        "box": box,
        "row": row,
        "step": BY_KEY["zones"],
        "here_snags": [],
        "place": place + 1,
        "many": len(box.zones),
        "fields": [_field(row, column, sums) for column in COLUMNS],
        "kinds": list(whole.kinds.values()),
        "page": token_hex(8),
        "seen": mark_of(whole.draft, f"zones-{box.key}"),
        "action": _address(whole, box, place),
        "errors": row.errors,
        "sums": sums,
        "known_words": KNOWN,
        **more,
    }
    template = "desk/_set_up_zone_kept.html" if request.htmx else "desk/set_up_zone.html"
    return render(request, template, context, status=status)


def _field(row: ZoneRow, column: Any, sums: list[Any]) -> dict[str, Any]:
    cell = row.cells[column.key]
    return {
        "column": column,
        "key": column.key,
        "head": column.head(row.units),
        "text": row.texts.get(column.key, ""),
        "picked": cell.value if column.table and not cell.filled else "",
        "fills": cell.placeholder(row.units),
        "cell": cell,
        "error": row.errors.get(column.key, ""),
        "help": HELP.get(column.key),
        "sources": sources_of(column, row.units),
        "known": CANS if column.key == "rate" else KNOWN,
        "sums": [one for one in sums if SUMS[one.sum.key].target == column.key],
    }
