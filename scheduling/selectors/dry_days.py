"""Which nights of which programs put water on a site on some days of the calendar."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from common import clock
from fleet.models import Site, Visit
from fleet.selectors.site_rule import with_rules
from scheduling.delivery import channel_named
from scheduling.models import Change, Program
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import simulate


@dataclass(frozen=True)
class WetNights:
    """The nights to leave out at one program so that some days stay dry, first and last included.

    ``starts`` is the first valve that would open; ``visit`` the next visit before it where one is needed.
    """

    program: Program
    first: date
    last: date
    starts: datetime
    needs_visit: bool
    visit: date | None = None
    in_time: bool = True


def wet_nights(site: Site, *, first: date, last: date, on: date) -> list[WetNights]:
    """Return what waters a site on the days ``first`` to ``last``, from the night of ``on`` on.

    A night runs from noon to noon, so the night before ``first`` is looked at too. Each valve is followed as
    the programs stand now; nights that are left out already, or decided to be, don't count.
    """
    boxes = list(
        with_rules(site.controllers.all())
        .exclude(site__season=Site.Season.CLOSED)
        .select_related("site__client")
    )
    nights = clock.days(max(on, first - timedelta(days=1)), last)
    if not boxes or not nights:
        return []
    zone = ZoneInfo(site.timezone)
    begins = datetime.combine(first, time(), tzinfo=zone)
    ends = datetime.combine(last + timedelta(days=1), time(), tzinfo=zone)
    held = held_by(boxes, first=nights[0], last=nights[-1])
    decided = _decided(site, first=nights[0], last=nights[-1])
    wet: dict[tuple[int, str], list[date]] = defaultdict(list)
    opened: dict[tuple[int, str], datetime] = {}
    programs: dict[tuple[int, str], Program] = {}
    for night in nights:
        for box in boxes:
            found = simulate(
                [held.box(box, night)], clock=NightClock(night, site.timezone), supply_l_min=None
            )
            for event in found.events:
                key = box.pk, event.program.letter
                if event.end <= begins or event.start >= ends or night in decided[key]:
                    continue
                programs.setdefault(key, event.program)
                opened[key] = min(opened.get(key, event.start), event.start)
                if night not in wet[key]:
                    wet[key].append(night)
    visits = list(
        Visit.objects.filter(site=site, date__gte=on, done_at=None)
        .order_by("date")
        .values_list("date", flat=True)
    )
    now = clock.moment(on, site.timezone)
    return [
        _told(programs[key], wet[key], opened[key], visits=visits, now=now)
        for key in sorted(wet, key=lambda key: (programs[key].controller.name, key))
    ]


def _told(
    program: Program, nights: list[date], starts: datetime, *, visits: Iterable[date], now: datetime
) -> WetNights:
    channel = channel_named(program.controller.delivery)
    visit = next((day for day in visits if day <= nights[0]), None) if channel.needs_visit else None
    on_the_way = visit is not None or not channel.needs_visit
    return WetNights(
        program=program,
        first=nights[0],
        last=nights[-1],
        starts=starts,
        needs_visit=channel.needs_visit,
        visit=visit,
        in_time=on_the_way and now + timedelta(hours=channel.lead_hours) <= starts,
    )


def _decided(site: Site, *, first: date, last: date) -> dict[tuple[int, str], set[date]]:
    """Return the nights that are approved to be left out for a client and wait to be entered."""
    waiting = Change.objects.filter(
        program__controller__site=site,
        kind=Change.Kind.WISH_SKIP,
        status=Change.Status.APPROVED,
        effective_from__lte=last,
        effective_to__gte=first,
    )
    nights: dict[tuple[int, str], set[date]] = defaultdict(set)
    for box, letter, begin, end in waiting.values_list(
        "program__controller_id", "program__letter", "effective_from", "effective_to"
    ):
        nights[box, letter] |= set(clock.days(begin, end or begin))
    return nights
