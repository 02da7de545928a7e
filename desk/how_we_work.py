"""The settings pages: who gets to them, and what each of them shows around its own content."""

from functools import wraps
from typing import Any, ParamSpec, cast

from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from common.errors import Refused
from desk import notices
from desk.access import AnyPage, PersonRequest, StaffPage, StaffRequest, signed_in
from desk.blanks import Sheet, Stale
from desk.company import timezone_of, working_membership
from fleet.models import Membership, SettingEdit
from fleet.selectors.edits import edits_of, newest_can_be_undone
from fleet.selectors.people import DECIDE
from fleet.services.edits import change_row

P = ParamSpec("P")
CONFLICT, REFUSED = 409, 422
PARTS = (
    ("desk:settings-policy", "Decisions"),
    ("desk:settings-company", "Company and units"),
    ("desk:settings-people", "People"),
    ("desk:settings-prices", "Price of water"),
    ("desk:settings-rules", "Watering rules"),
    ("desk:settings-kinds", "Kinds of zones"),
    ("desk:settings-towns", "Towns and stages"),
)


def keepers(page: StaffPage[P]) -> AnyPage[P]:
    """Let only the owner and the office in; tell everybody else who keeps these pages."""

    @signed_in
    @wraps(page)
    def guarded(request: PersonRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        member = working_membership(request)
        if member is None and kwargs:
            raise Http404
        if member is None or member.role not in DECIDE:
            return _not_for_you(request, member)
        request.member = member  # type: ignore[attr-defined]
        return page(cast(StaffRequest, request), *args, **kwargs)

    return guarded


def _not_for_you(request: HttpRequest, member: Membership | None) -> HttpResponse:
    owners: list[Membership] = []
    if member is not None:
        of_company = Membership.objects.filter(company=member.company_id, role=Membership.Role.OWNER)
        owners = list(of_company.select_related("user").order_by("user__name", "user__email"))
    return render(request, "desk/settings_not_yours.html", {"owners": owners}, status=403)


def around(request: StaffRequest, topic: str, *, row: int | None = None) -> dict[str, Any]:
    """Return what stands around a settings page: its neighbours and what was changed there."""
    company_id = request.member.company_id
    edits = edits_of(request.user, company_id, topic, row=row)
    return {
        "parts": [
            {"label": label, "url": reverse(name), "here": request.path.startswith(reverse(name))}
            for name, label in PARTS
        ],
        "edits": edits,
        "undoable": newest_can_be_undone(edits),
        "timezone": timezone_of(company_id),
        "owner": request.member.role == Membership.Role.OWNER,
    }


def save(request: StaffRequest, sheet: Sheet, row: Model, *, topic: str) -> int:
    """Save a form that was read; return 200, or 409 or 422 with what is wrong put into the form."""
    try:
        edit = change_row(row=row, by=request.user, company_id=request.member.company_id, decide=sheet.decide)
    except Stale as stale:
        row.refresh_from_db()
        _tell(request, sheet, row, stale, topic=topic)
        return CONFLICT
    except Refused as refused:
        sheet.refuse(refused)
        return REFUSED
    notices.say(request, "Saved." if edit else "Nothing was different; nothing was saved.")
    return 200


def _tell(request: StaffRequest, sheet: Sheet, row: Model, stale: Stale, *, topic: str) -> None:
    """Say by each field that moved who moved it."""
    sheet.row = row
    sheet.errors[""] = stale.message
    edits = SettingEdit.objects.of_company(request.member.company_id).filter(topic=topic, row=row.pk)
    latest = list(edits.select_related("by").order_by("-id")[:50])
    for name in stale.fields:
        who = next((e.by for e in latest if name in e.after), None)
        sheet.stale[name] = str(who) if who else "Somebody"
