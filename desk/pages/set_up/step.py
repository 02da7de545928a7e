"""One step of a draft: shown, kept at every change, and gone on from."""

from secrets import token_hex
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from common.errors import BluestemError, MovedOn
from desk import notices
from desk.access import StaffRequest, staff
from desk.pages.set_up.drafts import drafts_of
from desk.pages.set_up.shown import shown
from desk.pages.set_up.weather_now import fetch_weather
from desk.set_up.boxes import MOST_BOXES, fresh_box
from desk.set_up.differences import differences
from desk.set_up.grid_actions import changed
from desk.set_up.snags import snags
from desk.set_up.steps import BY_KEY, STEPS, Step, beside
from desk.set_up.whole import Box, Whole
from fleet.models import SetUpDraft
from fleet.selectors.people import may_set_up
from fleet.services.drafts import OtherWay, Page, mark_of, save_part
from scheduling.services.set_up import CantCreate, create_site, would_create

CONFLICT, UNREAD = 409, 422


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def set_up_step(request: StaffRequest, pk: int, step: str) -> HttpResponse:
    """Show a step, or keep what was typed into it."""
    draft = get_object_or_404(drafts_of(request), pk=pk)
    if draft.finished_at is not None:
        return _finished(request, draft)
    here, whole = BY_KEY[step], Whole(draft, request.user)
    box = box_of(request, whole)
    if request.method != "POST":
        more: dict[str, Any] = {"trouble": trial(request, whole)} if here.key == "check" else {}
        return page(request, whole, here, box, **more)
    if here.read is None:
        return _go_on(request, whole, here, box)
    texts = here.read(request.POST, whole, box)
    if here.key == "zones":
        pressed = changed(texts["rows"], request.POST, capacity=int(box.fields["zone_capacity"]))
        texts = {"rows": texts["rows"] if pressed is None else pressed}
    if here.key == "controllers":
        texts = _boxes(draft, texts, str(request.POST.get("do", "")))
    before = draft.version
    try:
        draft = keep(request, whole, here.part(box), texts, step=here.key)
    except OtherWay as other:
        return _both(request, whole, here, box, texts, other)
    except MovedOn as moved:
        notices.warn(request, moved.message)
        return redirect("desk:set-up")
    looked_at = _looked_at(request, before=before, now=draft.version)
    if here.key == "plan" and request.POST.get("do") == "weather":
        fetch_weather(request, Whole(draft, request.user))
    return _go_on(request, Whole(draft, request.user), here, box, looked_at=looked_at)


def _looked_at(request: StaffRequest, *, before: int, now: int) -> int:
    """Return the version of the draft this page's person knows: its own save is known, others' aren't."""
    text = request.POST.get("looked_at", "")
    known = int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else before
    return now if known == before and now <= before + 1 else known


def keep(request: StaffRequest, whole: Whole, part: str, texts: Any, *, step: str = "") -> SetUpDraft:
    """Keep the texts of a part as this page wrote them, and what the draft is called."""
    post = request.POST
    nth = str(post.get("nth", "0"))
    opened = Page(
        name if (name := str(post.get("page", ""))[:32]).isascii() and name.isalnum() else "",
        int(nth) if nth.isascii() and nth.isdecimal() and len(nth) < 10 else 0,
        str(post.get("seen", ""))[:12],
    )
    kept = dict(whole.draft.data)
    whole.draft.data = kept | {part: kept.get(part, {}) | {"texts": texts}}
    title = Whole(whole.draft, whole.user).title
    whole.draft.data = kept
    now = save_part(
        draft=whole.draft, by=request.user, part=part, texts=texts, page=opened, step=step, title=title
    )
    now.company = whole.draft.company
    return now


def box_of(request: StaffRequest, whole: Whole) -> Box:
    """Return the controller a page is about: the one named, else the first."""
    named = request.GET.get("box", "")
    return next((box for box in whole.boxes if box.key == named), whole.boxes[0])


def address(draft: SetUpDraft, step: Step, box: Box | None = None) -> str:
    """Return the address of a step."""
    query = f"?box={box.key}" if box is not None and step.by_box else ""
    return reverse(f"desk:set-up-{step.key}", args=[draft.pk]) + query


def page(
    request: StaffRequest, whole: Whole, step: Step, box: Box, *, status: int = 200, **more: Any
) -> HttpResponse:
    """Show a step."""
    draft, found = whole.draft, snags(whole)
    context = {
        "draft": draft,
        "looked_at": draft.version,
        "whole": whole,
        "units": whole.units,
        "step": step,
        "box": box,
        "steps": [
            {
                "label": one.label,
                "url": address(draft, one),
                "here": one is step,
                "number": n,
                "to_mend": sum(1 for snag in found if snag.step == one.key),
            }
            for n, one in enumerate(STEPS, start=1)
        ],
        "before": beside(step, -1),
        "after": beside(step, 1),
        "page": token_hex(8),
        "seen": mark_of(draft, step.part(box)),
        "action": address(draft, step, box),
        "snags": found,
        "here_snags": [s for s in found if s.step == step.key and (not step.by_box or s.box == box.key)],
        "may_create": may_set_up(request.user, draft.company_id),
        **shown(whole, step, box, work=not request.htmx),
        **more,
    }
    template = "desk/_set_up_kept.html" if request.htmx else "desk/set_up_step.html"
    return render(request, template, context, status=status)


def _go_on(
    request: StaffRequest, whole: Whole, step: Step, box: Box, *, looked_at: int | None = None
) -> HttpResponse:
    do = str(request.POST.get("do", "keep"))
    looked_at = whole.draft.version if looked_at is None else looked_at
    if request.htmx:
        here = next((b for b in whole.boxes if b.key == box.key), whole.boxes[0])
        return page(request, whole, step, here, looked_at=looked_at)
    if do == "create":
        return _create(request, whole, step, box, looked_at=looked_at)
    to = {"next": 1, "back": -1}.get(do, 0)
    unread = [s for s in snags(whole) if s.step == step.key and s.field and (not s.box or s.box == box.key)]
    if to == 1 and unread and do == "next":
        box = next((b for b in whole.boxes if b.key == box.key), whole.boxes[0])
        return page(request, whole, step, box, status=UNREAD, told=True)
    if to and step.by_box:
        keys = [b.key for b in whole.boxes]
        at = keys.index(box.key) + to if box.key in keys else 0
        if 0 <= at < len(keys):
            return redirect(address(whole.draft, step, whole.boxes[at]))
    if do == "out":
        return redirect("desk:set-up")
    return redirect(address(whole.draft, beside(step, to) or step, box if not to else None))


def _create(request: StaffRequest, whole: Whole, step: Step, box: Box, *, looked_at: int) -> HttpResponse:
    if found := snags(whole):
        notices.warn(
            request, f"{len(found)} thing{'s' if len(found) > 1 else ''} to mend first; see the list."
        )
        return redirect(address(whole.draft, BY_KEY["check"]))
    try:
        site = create_site(draft=whole.draft, by=request.user, said=whole.said, seen=looked_at)
    except CantCreate as trouble:
        return page(request, whole, step, box, status=UNREAD, trouble=trouble)
    except BluestemError as error:
        notices.warn(request, error.message)
        return redirect(address(whole.draft, BY_KEY["check"]))
    notices.say(request, f"{site.name} is set up. Its weather comes with the next night.")
    return redirect("desk:site", site.pk)


def trial(request: StaffRequest, whole: Whole) -> CantCreate | None:
    """Return what the services would refuse, having written nothing; only for those who may create."""
    if not may_set_up(request.user, whole.draft.company_id) or snags(whole):
        return None
    return would_create(draft=whole.draft, by=request.user, said=whole.said)


def _both(
    request: StaffRequest, whole: Whole, step: Step, box: Box, texts: Any, other: OtherWay
) -> HttpResponse:
    if request.htmx:
        found = {"conflict": True, "who": other.who or "Somebody", "step": step, "draft": whole.draft}
        found |= {"looked_at": request.POST.get("looked_at", "")[:10]}
        return render(request, "desk/_set_up_kept.html", found, status=CONFLICT)
    whole.draft.refresh_from_db()
    part = step.part(box)
    mark = mark_of(whole.draft, part)
    whole.draft.data[part] = whole.draft.data.get(part, {}) | {"texts": texts}
    mine = Whole(whole.draft, request.user)
    own = next((b for b in mine.boxes if b.key == box.key), mine.boxes[0])
    apart = differences(texts, other.texts)
    return page(
        request, mine, step, own, status=CONFLICT, apart=apart, who=other.who or "Somebody", seen=mark
    )


def _boxes(draft: SetUpDraft, texts: Any, do: str) -> Any:
    rows = texts["rows"]
    verb, _, key = do.partition(":")
    if verb == "remove" and len(rows) > 1:
        return {"rows": [row for row in rows if row["k"] != key]}
    if verb == "add" and len(rows) < MOST_BOXES:
        # A number that was had before would bring the zones of a controller that was removed along.
        had = [number for part in draft.data if (number := part.rpartition("-")[2]).isdecimal()]
        fresh = str(max(int(number) for number in [*(row["k"] for row in rows), *had]) + 1)
        return {"rows": [*rows, fresh_box(fresh, len(rows) + 1)]}
    return texts


def _finished(request: StaffRequest, draft: SetUpDraft) -> HttpResponse:
    if draft.site is None:
        notices.warn(request, "This draft's site was created, and has been removed since.")
        return redirect("desk:set-up")
    notices.say(request, f"{draft.site.name} is set up already.")
    return redirect("desk:site", draft.site.pk)
