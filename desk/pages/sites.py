"""Every site of the company, by client."""

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from fleet.models import Controller, Site, Zone
from scheduling.models import Change


@staff
@require_safe
def sites(request: StaffRequest) -> HttpResponse:
    """List the sites with what waits at each."""
    words = request.GET.get("words", "").replace("\0", "").strip()[:120]
    pending = Change.objects.filter(status=Change.Status.PENDING)
    listed = (
        Site.objects.visible_to(request.user)
        .of_company(request.member.company_id)
        .filter(Q(name__icontains=words) | Q(client__name__icontains=words))
        .select_related("client", "watering_rule")
        .annotate(
            controller_count=_how_many(Controller.objects.all(), "site"),
            zone_count=_how_many(Zone.objects.all(), "controller__site"),
            pending_count=_how_many(pending, "program__controller__site"),
        )
        .order_by("client__name", "name")
    )
    return render(request, "desk/sites.html", {"sites": listed, "words": words})


def _how_many(rows: QuerySet, path: str) -> Coalesce:
    """Return the count of rows at a site, each counted by itself: joined together they would multiply."""
    at_site = rows.filter(**{path: OuterRef("pk")}).order_by().values(path).annotate(n=Count("pk"))
    return Coalesce(Subquery(at_site.values("n")), 0)
