"""What a technician tells about a whole site: rain that fell there, or didn't."""

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from common import clock
from common.errors import BluestemError, NotAllowed, Refused
from desk import dates, figures, posted
from desk.access import StaffRequest, staff
from desk.pages.field import noted, refused
from fleet.models import Site
from fleet.services.site_rain import note_rain


@staff
@require_POST
def rain(request: StaffRequest, pk: int) -> HttpResponse:
    """Store that a day was dry, or what stood in the gauge."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    try:
        words = _noted(request, site)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        return refused(request, error, f"{site}, rain", sites=pk)
    return noted(request, f"{site}: {words}. It counts here from tomorrow's decision on.", site=pk)


def _noted(request: StaffRequest, site: Site) -> str:
    post, units = request.POST, site.client.company.units
    day = posted.day(post.get("day", ""))
    if day is None:
        raise Refused("Pick the day.", field="day")
    gauge = None if "dry" in post else posted.depth_mm(post.get("gauge", ""), units=units)
    if gauge is None and "dry" not in post:
        raise Refused("Type how much stood in the gauge.", field="gauge")
    put = note_rain(
        site=site,
        by=request.user,
        on=clock.today(site.timezone),
        day=day,
        gauge_mm=gauge,
        seen=post.get(f"seen-{day}", ""),
    )
    said = "no rain" if gauge is None else f"{figures.depth(put.row.rain_mm, units)} in the gauge"
    return f"{said} on {dates.day(day, units)}"
