"""What a technician has to enter, site by site, today's visits first."""

from collections.abc import Iterable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, datetime
from typing import Any

from django.db.models import Q

from common import clock
from fleet.models import Finding, Site, Visit, ZoneEpisode
from fleet.selectors.episodes import episodes_at
from scheduling.models import Change, Program
from scheduling.selectors.altered_card import altered_cards
from scheduling.selectors.card import Card
from scheduling.selectors.changes import changes_for
from scheduling.selectors.field_zones import ZoneToSee, zones_to_see
from scheduling.selectors.last_call import first_start
from scheduling.selectors.rain_days import RainDay, rain_days

AHEAD = 7


@dataclass(frozen=True)
class ToEnter:
    """One change; a skip has a latest useful hour, the first start it leaves out.

    An alteration has a card of the programs it touches, as the controller is to hold them. ``newer`` is a
    later percent for the same program that nobody has decided yet.
    """

    change: Change
    latest: datetime | None = None
    card: Card | None = None
    newer: int | None = None

    @property
    def too_late(self) -> bool:
        """Tell whether the first start is past; a skip of several nights is never too late for the last."""
        night, last = self.change.effective_from, self.change.effective_to
        site = self.change.program.controller.site
        on = clock.today(site.timezone)
        if self.latest is None or (last is not None and last > max(night, on)):
            return False
        return self.latest <= clock.moment(on, site.timezone)


@dataclass
class SiteToVisit:
    """One site with what is to be entered there."""

    site: Site
    changes: list[ToEnter] = dataclass_field(default_factory=list)
    too_late: list[ToEnter] = dataclass_field(default_factory=list)
    visits: list[Visit] = dataclass_field(default_factory=list)
    zones: list[ZoneToSee] = dataclass_field(default_factory=list)
    rain: list[RainDay] = dataclass_field(default_factory=list)
    episodes: list[ZoneEpisode] = dataclass_field(default_factory=list)

    @property
    def visit(self) -> date | None:
        """Return the day of the next visit that isn't done."""
        return next((visit.date for visit in self.visits if visit.done_at is None), None)

    @property
    def findings(self) -> list[Finding]:
        """Return what is broken there."""
        return [finding for zone in self.zones for finding in zone.findings]

    @property
    def words(self) -> str:
        """Return the site's name, for sorting."""
        return f"{self.site.client.name} {self.site.name}".casefold()


def field_sheet(user: Any, company_id: int, *, on: date) -> list[SiteToVisit]:
    """Return the sites with changes to enter or a visit today, in a fixed number of queries."""
    sites: dict[int, SiteToVisit] = {}
    changes = changes_for(user).of_company(company_id).filter(status=Change.Status.APPROVED)
    for one in _to_enter(changes.order_by("program__controller__name", "program__letter", "kind")):
        site = one.change.program.controller.site
        entry = sites.setdefault(site.pk, SiteToVisit(site))
        (entry.too_late if one.too_late else entry.changes).append(one)
    for visit in _visits(user, company_id, on=on):
        if visit.date == on or visit.site_id in sites:
            sites.setdefault(visit.site_id, SiteToVisit(visit.site)).visits.append(visit)
    there = [entry.site for entry in sites.values()]
    for site_id, zones in zones_to_see(there).items():
        sites[site_id].zones = zones
    for site_id, days in rain_days(there).items():
        sites[site_id].rain = days
    for site_id, episodes in episodes_at([site.pk for site in there], on=on, ahead=AHEAD).items():
        sites[site_id].episodes = episodes
    far = date.max
    return sorted(sites.values(), key=lambda entry: (entry.visit or far, entry.words))


def _visits(user: Any, company_id: int, *, on: date) -> Iterable[Visit]:
    """Return visits to come, and today's whether done or not."""
    return (
        Visit.objects.visible_to(user)
        .of_company(company_id)
        .filter(Q(done_at=None) | Q(date=on), date__gte=on)
        .select_related("site__client__company")
        .order_by("date", "pk")
    )


def _to_enter(changes: Iterable[Change]) -> Iterable[ToEnter]:
    listed = list(changes)
    skipping = {change.program.controller_id for change in listed if change.is_skip}
    programs: dict[int, list[Program]] = {controller: [] for controller in skipping}
    for program in Program.objects.filter(controller__in=skipping):
        programs[program.controller_id].append(program)
    cards = altered_cards([change for change in listed if change.is_alteration])
    newer = _newer(listed)
    for change in listed:
        latest = first_start(change, programs[change.program.controller_id]) if change.is_skip else None
        yield ToEnter(change, latest, cards.get(change.pk), newer.get(change.pk))


def _newer(listed: Iterable[Change]) -> dict[int, int]:
    """Return the percents nobody has decided yet where an older one is approved, by the older change."""
    older = {change.program_id: change.pk for change in listed if change.kind == Change.Kind.PERCENT}
    waiting = Change.objects.filter(
        program__in=older, kind=Change.Kind.PERCENT, status=Change.Status.PENDING
    ).values_list("program", "proposed")
    return {older[program]: percent for program, percent in waiting if percent is not None}
