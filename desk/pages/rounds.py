"""A round through the zones of a site: begun, gone through zone by zone, left, taken up again, ended."""

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from common import clock
from common.errors import NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.zone_words import Shown, shown_by
from fleet.models import Controller, Finding, Site, ZoneRound
from fleet.selectors.rounds import Progress, Stop, progress_of
from fleet.services.rounds import begin_round, end_round

REFUSED = 422


@staff
@require_POST
def begin(request: StaffRequest, pk: int) -> HttpResponse:
    """Begin a round at a site, or take up the one under way, at the first zone that is left."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    try:
        row, new = begin_round(
            site=site,
            by=request.user,
            on=clock.today(site.timezone),
            controller=_controller(request, site),
            kind=request.POST.get("kind", "check"),
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        notices.warn(request, error.message)
        return redirect("desk:site", pk)
    progress = progress_of(row)
    if not new:
        notices.say(request, f"This round is under way: {progress.done} of {len(progress.stops)} zones.")
    left = progress.next_left
    return redirect("desk:round-zone", row.pk, left.zone.pk) if left else redirect("desk:round", row.pk)


@staff
@require_safe
def round_page(request: StaffRequest, pk: int) -> HttpResponse:
    """Show how far a round is."""
    return _page(request, round_of(request, pk))


@staff
@require_POST
def round_done(request: StaffRequest, pk: int) -> HttpResponse:
    """End a round."""
    row = round_of(request, pk)
    try:
        end_round(round=row, by=request.user, on=clock.today(row.site.timezone))
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        notices.warn(request, error.message)
        return _page(request, row, status=REFUSED)
    notices.say(request, "The round is done. What was seen stays here and in the site's history.")
    return redirect("desk:round", pk)


def round_of(request: StaffRequest, pk: int) -> ZoneRound:
    """Return a round of the person's company."""
    rounds = ZoneRound.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rounds.select_related("site__client__company", "controller", "by"), pk=pk)


def _controller(request: StaffRequest, site: Site) -> Controller | None:
    text = request.POST.get("controller", "")
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 19):
        raise Refused("Pick a controller of this site.", field="controller")
    controller = site.controllers.filter(pk=int(text)).first()
    if controller is None:
        raise Refused("Pick a controller of this site.", field="controller")
    return controller


def _page(request: StaffRequest, row: ZoneRound, *, status: int = 200) -> HttpResponse:
    row = round_of(request, row.pk)
    progress = progress_of(row)
    context = {
        "round": row,
        "site": row.site,
        "units": request.member.company.units,
        "progress": progress,
        "lines": _lines(progress, units=request.member.company.units),
    }
    return render(request, "desk/round.html", context, status=status)


def _lines(progress: Progress, *, units: str) -> list[tuple[Stop, list[Shown]]]:
    zones = [stop.zone.pk for stop in progress.stops]
    findings: dict[int, list[Finding]] = {}
    for finding in Finding.objects.filter(zone__in=zones, status=Finding.Status.OPEN):
        findings.setdefault(finding.zone_id, []).append(finding)
    return [
        (stop, shown_by(stop.test, findings.get(stop.zone.pk, []), units) if stop.test else [])
        for stop in progress.stops
    ]
