"""Where weather comes from: one line per source. A new source is one file here and one line."""

from collections.abc import Callable

from django.conf import settings

from common.errors import Refused
from weather.providers.base import Source
from weather.providers.invented import Invented
from weather.providers.open_meteo import OpenMeteo

SOURCES: dict[str, Callable[[], Source]] = {
    "open-meteo": OpenMeteo.from_settings,
    "invented": Invented.from_settings,
}


def source_in_use() -> Source:
    """Return the source this installation has chosen (setting ``BLUESTEM_WEATHER_SOURCE``)."""
    try:
        return SOURCES[settings.WEATHER_SOURCE]()
    except KeyError:
        known = ", ".join(SOURCES)
        raise Refused(
            f"There is no weather source {settings.WEATHER_SOURCE!r}; there are: {known}.",
            field="BLUESTEM_WEATHER_SOURCE",
        ) from None
