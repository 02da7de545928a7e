"""Zones whose figures can't be read like the others': not watered by need, or held below it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from desk import dates, figures
from desk.cut_words import held_lines
from desk.episode_words import episode_line, short_line
from fleet.models import Controller, Zone, ZoneCut, ZoneEpisode
from fleet.selectors.episodes import episodes_at
from scheduling.selectors.cuts import by_plants, cuts_in_force


@dataclass(frozen=True)
class Apart:
    """The zones of a controller that stand apart in a night."""

    units: str
    away: list[ZoneEpisode] = field(default_factory=list)
    cuts: list[ZoneCut] = field(default_factory=list)

    @property
    def held(self) -> list[str]:
        """Return what a town's stage holds back, in words."""
        return held_lines(by_plants(self.cuts))

    @property
    def of_zone(self) -> dict[int, list[str]]:
        """Return a few words for each zone that stands apart, by its key."""
        found: dict[int, list[str]] = {}
        for episode in self.away:
            found.setdefault(episode.zone_id, []).append(zone_words(episode, self.units))
        for cut in self.cuts:
            found.setdefault(cut.zone_id, []).append(f"held at {figures.share(cut.factor)} of its need")
        return found

    def about(self, zone: Zone) -> Apart:
        """Return what there is of one zone alone."""
        return Apart(
            self.units,
            [one for one in self.away if one.zone_id == zone.pk],
            [one for one in self.cuts if one.zone_id == zone.pk],
        )

    @property
    def for_staff(self) -> list[str]:
        """Return everything in whole sentences."""
        return [*(episode_line(one, self.units) for one in self.away), *self.held]

    @property
    def for_client(self) -> list[str]:
        """Return everything as a client reads it."""
        return [*(short_line(one, self.units) for one in self.away), *self.held]


def zone_words(episode: ZoneEpisode, units: str) -> str:
    """Return a stretch in as few words as fit beside a zone's name."""
    until = f" to {dates.day(episode.effective_to, units)}" if episode.effective_to else ""
    return f"{episode.get_kind_display()}{until}, not watered by need"


def apart_at(controllers: Iterable[Controller], *, night: date, units: str) -> dict[int, Apart]:
    """Return what stands apart at each controller in a night; two queries for all of them."""
    boxes = list(controllers)
    sites = {box.site_id for box in boxes}
    found = {box.pk: Apart(units) for box in boxes}
    for own in episodes_at(sites, on=night).values():
        for episode in own:
            if episode.zone.controller_id in found:
                found[episode.zone.controller_id].away.append(episode)
    for cut in cuts_in_force(list(sites), night=night).values():
        if cut.zone.controller_id in found:
            found[cut.zone.controller_id].cuts.append(cut)
    return found
