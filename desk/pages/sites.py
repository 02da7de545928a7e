"""Every site of the company, by client."""

from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from fleet.models import Site
from scheduling.models import Change


@staff
@require_safe
def sites(request: StaffRequest) -> HttpResponse:
    """List the sites with what waits at each."""
    words = request.GET.get("words", "").replace("\0", "").strip()[:120]
    pending = Q(controllers__programs__changes__status=Change.Status.PENDING)
    listed = (
        Site.objects.visible_to(request.user)
        .of_company(request.member.company_id)
        .filter(Q(name__icontains=words) | Q(client__name__icontains=words))
        .select_related("client", "watering_rule")
        .annotate(
            controller_count=Count("controllers", distinct=True),
            zone_count=Count("controllers__zones", distinct=True),
            pending_count=Count("controllers__programs__changes", filter=pending, distinct=True),
        )
        .order_by("client__name", "name")
    )
    return render(request, "desk/sites.html", {"sites": listed, "words": words})
