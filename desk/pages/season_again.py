"""A stretch of a site's past, lived through again: what deciding each morning would have given and spared."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Max, Min, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from common.errors import Refused
from desk import posted
from desk.access import StaffRequest, staff
from desk.charts.season_again import WAYS, by_month, season_chart
from fleet.models import Site, ZoneEpisode
from scheduling.numerics.replay.foresight import Errors
from scheduling.numerics.replay.rules import delivered
from scheduling.selectors.remembered import remembered
from scheduling.selectors.replay.living import Course, Replayed, replayed
from scheduling.selectors.replay.unknowns import Wrong, taken_wrong
from scheduling.services.replay_site import season_of_site
from weather.models import ObservedDay

LONGEST_DAYS = 366
SHORTEST_DAYS = 7
HALF_A_YEAR = 183
SEED = 1
WORD = {"nightly": "Every night", "weekly": "Once a week", "visit:28": "At a visit every four weeks"}


@dataclass(frozen=True)
class Way:
    """One way the season could have gone, in litres; ``times`` the least, None where the least is nothing."""

    name: str
    given_l: float
    lost_l: float
    times: float | None
    adequacy: float
    dry_zone: str


@dataclass(frozen=True)
class ZoneSeason:
    """One zone's season as it was decided."""

    name: str
    adequacy: float
    given_l: float
    least_l: float
    times: float | None


@dataclass(frozen=True)
class Told:
    """What the page says of a season: little enough to be remembered, which every zone's days are not."""

    ways: list[Way]
    zones: list[ZoneSeason]
    wrong: list[Wrong]
    notes: list[str]
    chart: dict[str, Any]
    months: list[tuple[str, list[float]]]


@staff
@require_safe
def season_again(request: StaffRequest, pk: int) -> HttpResponse:
    """Show the season again, for the days and the delivery that were asked for."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("cell", "client__company"), pk=pk)
    on = clock.today(site.timezone)
    span = _observed(site, on)
    context: dict[str, Any] = {"site": site, "words": WORD, "observed": span}
    if span is None:
        return render(request, "desk/season_again.html", context)
    chosen = request.GET.get("word", "")
    chosen = chosen if chosen in WORD else _usual_word(site)
    usual = _usual(*span)
    typed = {"first": request.GET.get("from", ""), "last": request.GET.get("to", "")}
    context |= {"chosen": chosen, "typed": typed}
    try:
        first, last = _range(typed, usual, span)
        told = _told(site, first=first, last=last, on=on, word=chosen)
    except Refused as error:
        return render(
            request,
            "desk/season_again.html",
            context | {"field": error.field, "error": error.message},
            status=422,
        )
    units = site.client.company.units
    context |= {
        "first": first,
        "last": last,
        "typed": {"first": first.isoformat(), "last": last.isoformat()},
        "ways": told.ways,
        "zones": told.zones,
        "wrong": told.wrong,
        "notes": [*told.notes, *_apart(site, first, last)],
        "chart": told.chart,
        "months": told.months,
        "units": units,
        "decided_words": WORD[chosen].lower(),
    }
    return render(request, "desk/season_again.html", context)


def _observed(site: Site, on: date) -> tuple[date, date] | None:
    """Return the first and last day whose weather was observed at a site."""
    found = ObservedDay.objects.filter(
        cell=site.cell_id, date__lt=on, reference_et_mm__isnull=False
    ).aggregate(first=Min("date"), last=Max("date"))
    if found["first"] is None or (found["last"] - found["first"]).days + 1 < SHORTEST_DAYS:
        return None
    return found["first"], found["last"]


def _apart(site: Site, first: date, last: date) -> list[str]:
    """Return which zones weren't watered by need in some of these days, since they are lived through so."""
    rows = ZoneEpisode.objects.filter(
        Q(effective_to=None) | Q(effective_to__gte=first),
        zone__controller__site=site,
        effective_from__lte=last,
    )
    told = [
        f"zone {one.zone.number} {one.zone.name} ({one.get_kind_display()})"
        for one in rows.select_related("zone").order_by("zone__controller__name", "zone__number")
    ]
    if not told:
        return []
    named = ", ".join(dict.fromkeys(told))
    return [
        f"Not watered by need in some of these days: {named}. Here they are lived through as if they were."
    ]


def _usual(first: date, last: date) -> tuple[date, date]:
    """Return the half year around the last whole summer, or the newest half year where none is known."""
    year = last.year if last >= date(last.year, 9, 30) else last.year - 1
    if first <= date(year, 4, 1):
        return date(year, 4, 1), date(year, 9, 30)
    return max(first, last - timedelta(days=HALF_A_YEAR - 1)), last


def _usual_word(site: Site) -> str:
    near = site.controllers.filter(delivery="office").exists()
    return "nightly" if near else "visit:28"


def _range(typed: dict[str, str], usual: tuple[date, date], span: tuple[date, date]) -> tuple[date, date]:
    first, last = (_day(typed[name], name) or usual[n] for n, name in enumerate(("first", "last")))
    if first > last:
        raise Refused("The first day lies after the last.", field="first")
    if (last - first).days >= LONGEST_DAYS:
        raise Refused(f"Ask for {LONGEST_DAYS} days at the most.", field="first")
    if (last - first).days + 1 < SHORTEST_DAYS:
        raise Refused(f"Ask for {SHORTEST_DAYS} days at the least.", field="last")
    if first < span[0]:
        raise Refused(f"Weather was observed here from {span[0]} on.", field="first")
    if last > span[1]:
        raise Refused(f"Weather was observed here until {span[1]}.", field="last")
    return first, last


def _day(text: str, field: str) -> date | None:
    try:
        return posted.day(text[:40])
    except Refused as error:
        raise Refused(error.message, field=field) from error


def _told(site: Site, *, first: date, last: date, on: date, word: str) -> Told:
    """Live the days through, or remember what came of it a moment ago."""
    units = site.client.company.units
    name = f"season-again:{site.pk}:{first}:{last}:{on}:{word}:{units}"

    def make() -> Told:
        rules = delivered(word)
        laid = season_of_site(site, first=first, last=last, on=on, errors=Errors(), seed=SEED)
        found = replayed(laid.season, rules=rules, forecasts=laid.forecasts, first_percent=laid.first_percent)
        wrong = taken_wrong(
            laid.season,
            rules=rules,
            forecasts=laid.forecasts,
            right=found.decided,
            first_percent=laid.first_percent,
        )
        return Told(
            ways=ways(found),
            zones=zone_seasons(found),
            wrong=wrong,
            notes=laid.notes,
            chart=season_chart(found, units=units),
            months=[(month, list(litres.values())) for month, litres in by_month(found)],
        )

    return remembered(name, site.client.company_id, make)


def ways(found: Replayed) -> list[Way]:
    """Return the ways the season could have gone, the least last."""
    area = found.season.landscape.ground.area_m2
    least_l = float((area * found.decided.score.least_gross_mm).sum())
    shown = [
        _way(found, name, course, least_l)
        for name, course in zip(WAYS, (found.decided, found.at_100, found.monthly), strict=False)
    ]
    return [*shown, Way(WAYS[-1], least_l, 0.0, 1.0 if least_l > 0 else None, 1.0, "")]


def _way(found: Replayed, name: str, course: Course, least_l: float) -> Way:
    area, score = found.season.landscape.ground.area_m2, course.score
    given = float((area * score.gross_mm).sum())
    worst = int(score.adequacy.argmin())
    return Way(
        name=name,
        given_l=given,
        lost_l=float((area * score.excess * course.lived.full_et_mm.sum(axis=0)).sum()),
        times=given / least_l if least_l > 0 else None,
        adequacy=float(score.adequacy[worst]),
        dry_zone=found.season.zones[worst] if score.adequacy[worst] < 0.995 else "",
    )


def zone_seasons(found: Replayed) -> list[ZoneSeason]:
    """Return every zone's season as it was decided."""
    area, score = found.season.landscape.ground.area_m2, found.decided.score
    return [
        ZoneSeason(
            name=name,
            adequacy=float(score.adequacy[n]),
            given_l=float(area[n] * score.gross_mm[n]),
            least_l=float(area[n] * score.least_gross_mm[n]),
            times=float(score.ratio[n]) if score.least_gross_mm[n] > 0 else None,
        )
        for n, name in enumerate(found.season.zones)
    ]
