"""What a technician tells about a whole site: rain that fell there or didn't, and that the visit is done."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from common import clock
from common.errors import Refused
from desk import posted
from desk.access import StaffRequest, staff
from desk.pages.field import Form, taken
from fleet.models import Site, Visit
from scheduling.services.field_notes import Noted, enter_rain, enter_visit


@staff
@require_POST
def rain(request: StaffRequest, pk: int) -> HttpResponse:
    """Store that a day was dry, or what stood in the gauge."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    return taken(request, lambda: _rain(request, site), Form("sites", pk, f"{site}, rain", pk))


@staff
@require_POST
def visited(request: StaffRequest, pk: int) -> HttpResponse:
    """Tick a visit done."""
    visits = Visit.objects.visible_to(request.user).of_company(request.member.company_id)
    visit = get_object_or_404(visits.select_related("site__client"), pk=pk)
    on = clock.today(visit.site.timezone)
    form = Form("sites", visit.site_id, str(visit), visit.site_id)
    return taken(request, lambda: enter_visit(visit=visit, by=request.user, on=on), form)


def _rain(request: StaffRequest, site: Site) -> Noted:
    post, units = request.POST, site.client.company.units
    day = posted.day(post.get("day", ""))
    if day is None:
        raise Refused("Pick the day.", field="day")
    gauge = None if "dry" in post else posted.depth_mm(post.get("gauge", ""), units=units)
    if gauge is None and "dry" not in post:
        raise Refused("Type how much stood in the gauge.", field="gauge")
    return enter_rain(
        site=site,
        by=request.user,
        on=clock.today(site.timezone),
        day=day,
        gauge_mm=gauge,
        seen=post.get(f"seen-{day}", ""),
    )
