"""Nights in which a zone isn't watered by need: begun, set right, ended."""

from dataclasses import dataclass
from datetime import date, time

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from common.errors import MovedOn, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.blanks import Sheet
from desk.episode_words import episode_line
from desk.keeping import keep
from desk.sheets.episode import episode_blanks
from fleet.models import Zone, ZoneEpisode
from fleet.services.episodes import begin_episode, edit_episode, end_episode

RELATIONS = ("zone__controller__site__client__company",)


@dataclass(frozen=True)
class Opened:
    """What the form of a new stretch shows."""

    effective_from: date
    kind: str = ZoneEpisode.Kind.GROW_IN
    effective_to: date | None = None
    permit: str = ""
    permit_from: date | None = None
    permit_to: date | None = None
    permit_hours_from: time | None = None
    permit_hours_to: time | None = None
    runs_a_day: int | None = None
    run_minutes: float | None = None
    water_ds_m: float | None = None
    soil_ds_m: float | None = None
    leaching_share: float | None = None
    note: str = ""


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def episodes(request: StaffRequest, pk: int) -> HttpResponse:
    """Show a zone's stretches and begin another one."""
    zones = Zone.objects.visible_to(request.user).of_company(request.member.company_id)
    zone = get_object_or_404(zones.select_related("controller__site__client__company"), pk=pk)
    row = Opened(effective_from=clock.today(zone.controller.site.timezone))
    if request.method != "POST":
        return _page(request, zone, Sheet(episode_blanks(), row=row))
    sheet = Sheet(episode_blanks(), row=row, posted=request.POST)
    episode, status = keep(sheet, lambda: begin_episode(zone=zone, by=request.user, **sheet.values))
    if episode is None:
        return _page(request, zone, sheet, status=status)
    notices.say(request, episode_line(episode, request.member.company.units))
    return redirect("desk:episodes", zone.pk)


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def episode(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one stretch, or set it right."""
    row = _episode(request, pk)
    if request.method != "POST":
        return _page(request, row.zone, Sheet(episode_blanks(), row=row), row=row)
    sheet = Sheet(episode_blanks(), row=_episode(request, pk), posted=request.POST)

    def write() -> ZoneEpisode:
        return edit_episode(episode=row, by=request.user, **sheet.decide(row))

    kept, status = keep(sheet, write)
    if kept is None:
        return _page(request, row.zone, sheet, row=_episode(request, pk), status=status)
    notices.say(request, episode_line(kept, request.member.company.units))
    return redirect("desk:episodes", row.zone_id)


@staff
@require_POST
def episode_end(request: StaffRequest, pk: int) -> HttpResponse:
    """End a stretch: the coming night counts again."""
    row = _episode(request, pk)
    try:
        _, ended = end_episode(
            episode=row, by=request.user, on=clock.today(row.zone.controller.site.timezone)
        )
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except MovedOn as error:
        notices.warn(request, error.message)
    else:
        words = (
            "is watered by need again from tonight on. Take the runs keyed in for it out of the controller."
        )
        told = f"Zone {row.zone} {words}" if ended else f"Zone {row.zone}: that was over already."
        notices.say(request, told)
    return redirect("desk:episodes", row.zone_id)


def _episode(request: StaffRequest, pk: int) -> ZoneEpisode:
    rows = ZoneEpisode.objects.visible_to(request.user).of_company(request.member.company_id)
    return get_object_or_404(rows.select_related(*RELATIONS), pk=pk)


def _page(
    request: StaffRequest, zone: Zone, sheet: Sheet, *, row: ZoneEpisode | None = None, status: int = 200
) -> HttpResponse:
    units = request.member.company.units
    on = clock.today(zone.controller.site.timezone)
    rows = list(ZoneEpisode.objects.filter(zone=zone).order_by("-effective_from"))
    for one in rows:
        one.zone = zone
    context = {
        "zone": zone,
        "site": zone.controller.site,
        "units": units,
        "sheet": sheet,
        "typed": {one.blank.name: one for one in sheet},
        "on": on,
        "row": row,
        "going": [one for one in rows if one.effective_to is None or one.effective_to >= on],
        "over": [one for one in rows if one.effective_to is not None and one.effective_to < on],
    }
    return render(request, "desk/episodes.html", context, status=status)
