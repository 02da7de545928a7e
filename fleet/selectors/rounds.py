"""Rounds through zones: what is seen, what is left, what comes next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fleet.models import Site, Zone, ZoneRound, ZoneTest


@dataclass(frozen=True)
class Stop:
    """One zone of a round, with its test once it was seen."""

    zone: Zone
    test: ZoneTest | None

    @property
    def state(self) -> str:
        """Return how it stands: ``left``, ``not seen`` or ``seen``."""
        if self.test is None:
            return "left"
        return "not seen" if self.test.not_seen_because else "seen"


@dataclass(frozen=True)
class Progress:
    """A round with its stops in order."""

    round: ZoneRound
    stops: Sequence[Stop]

    @property
    def done(self) -> int:
        """Return how many zones were seen, or said why not."""
        return sum(stop.test is not None for stop in self.stops)

    @property
    def all_done(self) -> bool:
        """Tell whether no zone is left."""
        return self.done == len(self.stops)

    def place(self, zone: int) -> int | None:
        """Return where a zone stands in the round, None if the round doesn't go past it."""
        return next((n for n, stop in enumerate(self.stops) if stop.zone.pk == zone), None)

    @property
    def next_left(self) -> Stop | None:
        """Return the first zone that is left."""
        return next((stop for stop in self.stops if stop.test is None), None)


def zones_of(round: ZoneRound) -> list[Zone]:
    """Return the zones a round goes past, by controller and number."""
    where = (
        {"controller": round.controller_id} if round.controller_id else {"controller__site": round.site_id}
    )
    zones = Zone.objects.filter(**where).select_related(
        "controller__site__client__company", "controller__source"
    )
    return list(zones.order_by("controller__name", "controller", "number"))


def progress_of(round: ZoneRound) -> Progress:
    """Return how far a round is, in three queries; its tests come with their photos."""
    tests = round.tests.select_related("zone", "by").prefetch_related("photos")
    of_zone = {test.zone_id: test for test in tests}
    return Progress(round, [Stop(zone, of_zone.get(zone.pk)) for zone in zones_of(round)])


def rounds_under_way(user: Any, sites: Sequence[Site]) -> dict[int, list[ZoneRound]]:
    """Return the rounds of some sites that were begun and not ended."""
    found: dict[int, list[ZoneRound]] = {}
    going = ZoneRound.objects.visible_to(user).filter(site__in=[site.pk for site in sites], done_on=None)
    for one in going.select_related("controller").order_by("pk"):
        found.setdefault(one.site_id, []).append(one)
    return found
