"""The ways a decided change can reach a controller: one file and one line here for each."""

from scheduling.delivery.base import Channel
from scheduling.delivery.office import OFFICE
from scheduling.delivery.on_site import ON_SITE

CHANNELS: dict[str, Channel] = {channel.name: channel for channel in (OFFICE, ON_SITE)}


def channel_named(name: str) -> Channel:
    """Return a channel; an unknown name counts as the one that needs a visit, which promises least."""
    return CHANNELS.get(name, ON_SITE)
