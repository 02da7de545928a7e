"""What a client sees first: their own sites, or that nothing is open to them yet."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from desk.access import PersonRequest
from fleet.models import ClientAccess, Site


def own_sites(request: PersonRequest) -> HttpResponse:
    """Lead to the only site, list several, or say kindly that access isn't open yet."""
    sites = list(Site.objects.visible_to(request.user).select_related("client__company").order_by("name"))
    if len(sites) == 1:
        return redirect("desk:site", sites[0].pk)
    if sites:
        return render(request, "desk/own_sites.html", {"sites": sites})
    waiting = ClientAccess.objects.filter(user=request.user).select_related("client__company")
    return render(request, "desk/not_open.html", {"accesses": waiting})
