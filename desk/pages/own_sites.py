"""What a client sees first: their own sites and what was done for them, or that nothing is open yet."""

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django.http import HttpResponse
from django.shortcuts import render

from common import clock
from desk.access import PersonRequest
from desk.attribution import credit
from desk.cut_words import held_lines
from fleet.models import ClientAccess, ClientNote, Site, ZoneCut, ZoneEpisode
from fleet.selectors.episodes import episodes_at
from reports.selectors.month_saved import month_saved
from scheduling.selectors.coming_week import coming_week
from scheduling.selectors.cuts import by_plants, cuts_in_force
from scheduling.selectors.week_behind import past_week


def own_sites(request: PersonRequest) -> HttpResponse:
    """Show each site's month, coming nights and past weather, or say kindly that access isn't open yet."""
    sites = list(
        Site.objects.visible_to(request.user)
        .select_related("client__company")
        .order_by("client__company__name", "name")
    )
    if not sites:
        waiting = ClientAccess.objects.filter(user=request.user).select_related("client__company")
        return render(request, "desk/not_open.html", {"accesses": waiting})
    away, held = _apart(sites)
    saved, nights, weather = month_saved(sites), coming_week(sites), past_week(sites)
    unanswered = Counter(
        ClientNote.objects.filter(site__in=sites, status=ClientNote.Status.WAITING).values_list(
            "site", flat=True
        )
    )
    rows = [
        {
            "site": site,
            "units": site.client.company.units,
            "saved": saved.get(site.pk),
            "nights": nights[site.pk],
            "episodes": away.get(site.pk, []),
            "held_back": held_lines(by_plants(held.get(site.pk, []))),
            "weather": weather[site.pk],
            "notes_waiting": unanswered[site.pk],
            "credit": credit(weather[site.pk].source),
        }
        for site in sites
    ]
    companies = list({site.client.company_id: site.client.company for site in sites}.values())
    return render(request, "desk/own_sites.html", {"rows": rows, "companies": companies})


def _apart(sites: Sequence[Site]) -> tuple[dict[int, list[ZoneEpisode]], dict[int, list[ZoneCut]]]:
    """Return what isn't watered by need, and what is held below it, at each site in its own time.

    Two queries for each day it is there.
    """
    days: dict[date, list[int]] = {}
    for site in sites:
        days.setdefault(clock.today(site.timezone), []).append(site.pk)
    away = {pk: own for on, here in days.items() for pk, own in episodes_at(here, on=on).items()}
    held: dict[int, list[ZoneCut]] = {}
    for on, here in days.items():
        for cut in cuts_in_force(here, night=on).values():
            held.setdefault(cut.zone.controller.site_id, []).append(cut)
    return away, held
