"""Template tags for zones that aren't watered by need."""

from django import template

from desk.episode_words import ended_line, episode_line, short_line
from fleet.models import ZoneEpisode

register = template.Library()


@register.simple_tag
def episode_words(episode: ZoneEpisode, units: str) -> str:
    """Return a stretch in words."""
    return episode_line(episode, units)


@register.simple_tag
def episode_short(episode: ZoneEpisode, units: str) -> str:
    """Return a stretch in a few words."""
    return short_line(episode, units)


@register.simple_tag
def episode_over(episode: ZoneEpisode) -> str:
    """Return that a stretch is over."""
    return ended_line(episode)
