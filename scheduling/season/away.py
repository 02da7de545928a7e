"""Zones that aren't watered by need in a night, from rows that are read already."""

from collections.abc import Iterable
from datetime import date

from fleet.models import ZoneEpisode


def zones_away(episodes: Iterable[ZoneEpisode], *, on: date) -> dict[int, ZoneEpisode]:
    """Return the zones that aren't watered by need in the coming night, with why."""
    return {
        episode.zone_id: episode
        for episode in episodes
        if episode.effective_from <= on and (episode.effective_to is None or episode.effective_to >= on)
    }
