"""A catch-can audit of one zone: cans typed one after another, what follows beside them at once."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from common.errors import BluestemError, MovedOn, NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.cans import told
from desk.sheets.measured import cans_blanks
from fleet.models import CanAudit, Zone
from fleet.models.cans import FEWEST
from fleet.services.cans import audit_cans, in_survey, unuse_audit, use_audit

SHOWN = 12
REFUSED = 422


@dataclass(frozen=True)
class Opened:
    """What a new audit's form shows."""

    throat_cm2: float | None
    volumes_ml: tuple[float, ...] = ()
    minutes: float | None = None
    wind_m_s: float | None = None
    note: str = ""


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def cans(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a zone's audits and the form for another one; add a can to the form; or store it."""
    zone = _zone(request, pk)
    if request.method != "POST":
        return _page(request, zone, _sheet(request, zone))
    if "add" in request.POST:
        return _page(request, zone, _sheet(request, zone, posted=_with_next(request.POST)), adding=True)
    sheet = _sheet(request, zone, posted=request.POST)
    if not _read(sheet):
        return _page(request, zone, sheet, status=REFUSED)
    try:
        audit = audit_cans(
            zone=zone, by=request.user, date=clock.today(zone.controller.site.timezone), **sheet.values
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except (Refused, ValidationError) as error:
        sheet.refuse(error)
        return _page(request, zone, sheet, status=REFUSED)
    notices.say(request, "The audit is kept. Its figures go into the survey when you say so.")
    return redirect(f"{reverse('desk:cans', args=[zone.pk])}#audit-{audit.pk}")


@staff
@require_POST
def cans_live(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what the cans typed so far say, storing nothing."""
    zone = _zone(request, pk)
    sheet = _sheet(request, zone, posted=request.POST)
    return render(request, "desk/_cans_live.html", _live(request, zone, sheet) | {"zone": zone})


@staff
@require_POST
def cans_use(request: StaffRequest, pk: int) -> HttpResponse:
    """Take an audit into the survey of its zone."""
    audit = _audit(request, pk)
    return _moved(request, audit, lambda: use_audit(audit=audit, by=request.user), "The survey has it now.")


@staff
@require_POST
def cans_put_back(request: StaffRequest, pk: int) -> HttpResponse:
    """Put back what the survey said before an audit."""
    audit = _audit(request, pk)
    words = "The survey says again what it said before."
    return _moved(request, audit, lambda: unuse_audit(audit=audit, by=request.user), words)


def _moved(request: StaffRequest, audit: CanAudit, move: Any, words: str) -> HttpResponse:
    try:
        move()
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except (BluestemError, ValidationError) as error:
        message = error.message if isinstance(error, BluestemError) else " ".join(error.messages)
        notices.warn(request, message)
        status = 409 if isinstance(error, MovedOn) else REFUSED
        return _page(request, audit.zone, _sheet(request, audit.zone), status=status)
    notices.say(request, words)
    return redirect(f"{reverse('desk:cans', args=[audit.zone_id])}#audit-{audit.pk}")


def _zone(request: StaffRequest, pk: int) -> Zone:
    zones = Zone.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(zones.select_related("controller__site__client__company"), pk=pk)


def _audit(request: StaffRequest, pk: int) -> CanAudit:
    audits = CanAudit.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(audits.select_related("zone__controller__site__client__company"), pk=pk)


def _sheet(request: StaffRequest, zone: Zone, *, posted: QueryDict | None = None) -> Sheet:
    """Return the form; a new one takes the minutes and the can of the company's last audit."""
    before = CanAudit.objects.of_company(request.member.company_id).order_by("-pk").first()
    row = Opened(throat_cm2=before.throat_cm2 if before else None)
    return Sheet(cans_blanks(request.member.company.units), row=row, posted=posted)


def _read(sheet: Sheet) -> bool:
    """Read the form; what was left empty as it was opened is missing too."""
    sheet.read()
    for blank in sheet.blanks:
        if blank.required and sheet.values.get(blank.name) is None:
            sheet.errors.setdefault(blank.name, "This can't be empty.")
    if not sheet.values.get("volumes_ml"):
        sheet.errors.setdefault("volumes_ml", f"Type at least {FEWEST} cans.")
    return not sheet.errors


def _with_next(posted: QueryDict) -> QueryDict:
    """Return the form with the can that was typed put behind the others."""
    grown = posted.copy()
    can = grown.get("next", "").replace("\0", "").strip()[:20]
    grown["volumes_ml"] = f"{grown.get('volumes_ml', '').strip()} {can}".strip()
    grown["next"] = ""
    return grown


def _live(request: StaffRequest, zone: Zone, sheet: Sheet) -> dict[str, Any]:
    if sheet.posted is None:
        return {"live": None}
    _read(sheet)
    said = sheet.values
    if {"volumes_ml", "minutes", "throat_cm2"} & set(sheet.errors):
        first = next(sheet.errors[n] for n in ("volumes_ml", "minutes", "throat_cm2") if n in sheet.errors)
        return {"live": None, "not_yet": first}
    audit = CanAudit(zone=zone, **{name: value for name, value in said.items() if name != "note"})
    return {"live": told(audit, request.member.company.units)}


def _page(
    request: StaffRequest, zone: Zone, sheet: Sheet, *, status: int = 200, adding: bool = False
) -> HttpResponse:
    units = request.member.company.units
    zone.refresh_from_db(fields=["precipitation_rate_mm_h", "uniformity", "basis"])
    audits = list(CanAudit.objects.filter(zone=zone).select_related("by")[:SHOWN])
    for audit in audits:
        audit.zone = zone
    context = {
        "zone": zone,
        "site": zone.controller.site,
        "units": units,
        "audits": [{"row": one, "told": told(one, units), "used": in_survey(one)} for one in audits],
        **_live(request, zone, sheet),
        "adding": adding,
    }
    if adding:  # what isn't complete yet is no mistake
        sheet.errors.clear()
    return render(
        request, "desk/cans.html", context | {"sheet": sheet, "typed": _by_name(sheet)}, status=status
    )


def _by_name(sheet: Sheet) -> dict[str, Any]:
    return {one.blank.name: one for one in sheet}
