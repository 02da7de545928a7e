"""What sites will water in the coming nights, from what was entered and applied, not what is proposed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from common import clock
from fleet.models import Controller, Site
from scheduling.models import Program
from scheduling.selectors.held import Held, held_by
from scheduling.selectors.last_call import night_starts
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import simulate

NIGHTS = 7


@dataclass(frozen=True)
class ProgramNight:
    """One program in one night: when and how long it waters, or why it doesn't."""

    program: Program
    percent: int
    start: datetime | None
    end: datetime | None
    minutes: float
    skipped: str = ""


@dataclass(frozen=True)
class SiteNight:
    """One night of a site with the programs due in it; none of them means that it rests."""

    night: date
    programs: list[ProgramNight]

    @property
    def start(self) -> datetime | None:
        """Return when the first valve opens."""
        return min((p.start for p in self.programs if p.start), default=None)

    @property
    def end(self) -> datetime | None:
        """Return when the last valve shuts."""
        return max((p.end for p in self.programs if p.end), default=None)


def coming_week(sites: Sequence[Site], *, nights: int = NIGHTS) -> dict[int, list[SiteNight]]:
    """Return the coming nights of each site, from tonight on in its own time; five queries for all."""
    coming = {site.pk: _nights(site, nights) for site in sites}
    days = [day for own in coming.values() for day in own]
    if not days:
        return {}
    open_sites = [site.pk for site in sites if site.season != Site.Season.CLOSED]
    controllers = list(
        Controller.objects.filter(site__in=open_sites)
        .select_related("site__watering_rule", "site__town")
        .order_by("name", "pk")
    )
    held = held_by(controllers, first=min(days), last=max(days))
    return {
        pk: [_site_night([c for c in controllers if c.site_id == pk], held, night) for night in own]
        for pk, own in coming.items()
    }


def _nights(site: Site, count: int) -> list[date]:
    on = clock.today(site.timezone)
    return [on + timedelta(days=n) for n in range(count)]


def _site_night(controllers: Sequence[Controller], held: Held, night: date) -> SiteNight:
    programs = [program for one in controllers for program in _controller_night(one, held, night)]
    return SiteNight(night, sorted(programs, key=_order))


def _controller_night(controller: Controller, held: Held, night: date) -> list[ProgramNight]:
    box = held.box(controller, night)
    due = [entry for entry in box.entries if night_starts(entry.program, night=night)]
    timezone = controller.site.timezone
    events = simulate([box], clock=NightClock(night, timezone), supply_l_min=None).events
    told = []
    for entry in due:
        own = [event for event in events if event.program.pk == entry.program.pk]
        reason = held.skip_reason(entry.program, night)
        if not own and reason is None:
            continue  # holds no minutes
        told.append(
            ProgramNight(
                program=entry.program,
                percent=entry.percent,
                start=min((event.start for event in own), default=None),
                end=max((event.end for event in own), default=None),
                minutes=sum((event.end - event.start) / timedelta(minutes=1) for event in own),
                skipped=reason or "",
            )
        )
    return told


def _order(one: ProgramNight) -> tuple[bool, float, str]:
    """Sort by start; what is skipped comes last."""
    return one.start is None, one.start.timestamp() if one.start else 0.0, one.program.letter
