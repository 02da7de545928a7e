"""The blanks of a stretch of nights in which a zone isn't watered by need."""

import re
from datetime import date, time
from typing import Any

from common.errors import Refused
from desk.blanks import Blank, one_of, whole, words
from desk.sheets.measured import measure
from fleet.models import ZoneEpisode

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
HOUR = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")
KINDS = [(str(key), str(label)) for key, label in ZoneEpisode.Kind.choices]


def episode_blanks() -> list[Blank]:
    """Return the blanks."""
    return [
        Blank("kind", "This zone is", read=one_of(KINDS), kind="choice", choices=KINDS),
        day_blank("effective_from", "First night", required=True),
        day_blank(
            "effective_to",
            "Last night",
            effect="After it percents are decided again, by themselves. Empty: until somebody ends it.",
        ),
        Blank(
            "permit",
            "Permit",
            read=words,
            most=80,
            effect="Where a town limits days and hours, short runs in daylight want its leave.",
        ),
        day_blank("permit_from", "Permit from"),
        day_blank("permit_to", "Permit to"),
        hour_blank("permit_hours_from", "It allows watering from"),
        hour_blank("permit_hours_to", "It allows watering until"),
        Blank(
            "runs_a_day",
            "Runs a day",
            read=_runs,
            show=lambda value: "" if value is None else str(value),
            unit="a day",
            effect="Seed and sod want several short runs a day to begin with, then fewer and longer ones.",
        ),
        measure("run_minutes", "Each run", unit="min", bounds=(0.5, 240)),
        measure(
            "water_ds_m",
            "Salt in the water",
            unit="dS/m",
            bounds=(0.01, 20),
            decimals=2,
            effect="For leaching: its electrical conductivity. With the soil's the share follows (FAO 29).",
        ),
        measure(
            "soil_ds_m",
            "Salt the plants bear in the soil",
            unit="dS/m",
            bounds=(0.1, 40),
            decimals=2,
            effect="Conductivity of the saturation extract, from a laboratory or a table of the plants.",
        ),
        measure(
            "leaching_share",
            "Share to leach, where the salt isn't known",
            unit="%",
            si=0.01,
            bounds=(0.01, 0.6),
        ),
        Blank("note", "Note", read=words, most=200),
    ]


def day_blank(name: str, label: str, *, effect: str = "", required: bool = False) -> Blank:
    """Return a blank for a date."""
    return Blank(name, label, read=_read_day, show=_show_day, kind="date", effect=effect, required=required)


def hour_blank(name: str, label: str, *, required: bool = False) -> Blank:
    """Return a blank for a time of day."""
    return Blank(name, label, read=_read_hour, show=_show_hour, kind="time", required=required)


def _read_hour(text: str) -> time | None:
    if not text:
        return None
    if not HOUR.fullmatch(text):
        raise Refused("Type the time as hour:minutes, for example 14:30.")
    return time.fromisoformat(text)


def _show_hour(value: Any) -> str:
    return "" if value is None else f"{value:%H:%M}"


def _read_day(text: str) -> date | None:
    if not text:
        return None
    try:
        if not DAY.fullmatch(text):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        raise Refused("Type the date as year-month-day, for example 2026-07-14.") from None


def _show_day(value: Any) -> str:
    return "" if value is None else str(value.isoformat())


def _runs(text: str) -> int | None:
    if not text:
        return None
    value = whole(text)
    if not 1 <= value <= 24:
        raise Refused("1 to 24 runs a day.")
    return value
