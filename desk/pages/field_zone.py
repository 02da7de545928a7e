"""What a technician sees at one zone: how the soil feels, that it needs less or more, something broken."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from common import clock
from desk import posted
from desk.access import StaffRequest, staff
from desk.keeping import REFUSED
from desk.pages.field import Form, taken
from desk.pages.findings import finding_page
from desk.photos import take_photos
from fleet.models import Finding, Zone
from scheduling.services.field_notes import Noted, enter_finding, enter_mended, enter_soil, enter_trim


@staff
@require_POST
def note_zone(request: StaffRequest, pk: int) -> HttpResponse:
    """Store what the probe said about a zone, or a lasting correction of what it needs."""
    zone = _zone(request, pk)
    form = Form("zones", pk, f"Zone {zone}", zone.controller.site_id)
    return taken(request, lambda: _noted(request, zone), form)


@staff
@require_POST
def broken(request: StaffRequest, pk: int) -> HttpResponse:
    """Store that something is broken at a zone, and photos of it."""
    zone, post = _zone(request, pk), request.POST
    site = zone.controller.site
    found: list[Finding] = []

    def take() -> Noted:
        noted = enter_finding(
            zone=zone,
            by=request.user,
            on=clock.today(site.timezone),
            part=post.get("part", ""),
            note=posted.line(post.get("note", "")),
            lost_l_day=posted.volume_l(post.get("lost", ""), units=request.member.company.units),
        )
        found.append(noted.row)
        return noted

    answer = taken(request, take, Form("findings", pk, f"Zone {zone}", site.pk))
    told = take_photos(request, finding=found[0]).told if found else []
    return finding_page(request, found[0], told=told, status=REFUSED) if told else answer


@staff
@require_POST
def mended(request: StaffRequest, pk: int) -> HttpResponse:
    """Close a finding."""
    findings = Finding.objects.visible_to(request.user).of_company(request.member.company_id)
    finding = get_object_or_404(findings.select_related("zone__controller__site__client"), pk=pk)
    site = finding.zone.controller.site_id
    form = Form("sites", site, str(finding), site)
    return taken(request, lambda: enter_mended(finding=finding, by=request.user), form)


def _zone(request: StaffRequest, pk: int) -> Zone:
    zones = Zone.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(zones.select_related("controller__site__client"), pk=pk)


def _noted(request: StaffRequest, zone: Zone) -> Noted:
    post, on = request.POST, clock.today(zone.controller.site.timezone)
    if "probed" in post:
        return enter_soil(
            zone=zone, by=request.user, on=on, probed=post["probed"], seen=post.get("seen-soil", "")
        )
    return enter_trim(
        zone=zone,
        by=request.user,
        on=on,
        trim=post.get("trim", ""),
        reason=posted.line(post.get("reason", "")),
        seen=post.get("seen-trim", ""),
    )
