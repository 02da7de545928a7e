"""Whom weather is owed to, and whether it is invented."""

from dataclasses import dataclass

from django.conf import settings


@dataclass(frozen=True)
class Credit:
    """The line that stands wherever a source's weather is shown."""

    words: str
    url: str = ""
    invented: bool = False


def credit(source: str) -> Credit:
    """Return the line for a source by the name its days carry."""
    if source.startswith("invented"):
        return Credit(
            "Invented weather: made up for trying things out, not measured anywhere.", invented=True
        )
    if source.startswith("open-meteo"):
        return Credit(settings.OPEN_METEO_ATTRIBUTION, settings.OPEN_METEO_ATTRIBUTION_URL)
    return Credit(f"Weather: {source}." if source else "")
