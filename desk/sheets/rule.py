"""The blanks of a watering rule."""

from datetime import time
from typing import Any

from common.errors import Refused
from desk.blanks import Blank, one_of, whole, words
from fleet.models import WateringRule
from fleet.models.rules import WEEKDAYS

DAYS = [(day, day.capitalize()) for day in WEEKDAYS]


def rule_blanks() -> list[Blank]:
    """Return the blanks of a rule."""
    return [
        Blank("name", "Name", read=words, most=120, required=True),
        Blank(
            "weekdays",
            "Days",
            read=words,
            kind="days",
            choices=DAYS,
            effect="None ticked: any day of the week.",
        ),
        Blank(
            "parity",
            "Dates",
            read=one_of(WateringRule.Parity.choices),
            kind="choice",
            choices=WateringRule.Parity.choices,
        ),
        Blank(
            "days_per_week",
            "Days a week at the most",
            read=_days,
            show=lambda value: "" if value is None else str(value),
            unit="days",
            effect="Empty: as many as the days above allow.",
        ),
        _hour("hours_from", "Watering allowed from"),
        _hour("hours_to", "Watering allowed until"),
        Blank(
            "source",
            "Where this rule is written",
            read=words,
            most=200,
            effect="The town's own text holds, not this copy of it. Note where to look it up.",
        ),
    ]


def _hour(name: str, label: str) -> Blank:
    return Blank(name, label, read=_time, show=_clock, kind="time", effect="Empty: no limit at this end.")


def _clock(value: Any) -> str:
    """Return an hour as a form holds it; one kept with an edit is text already."""
    if value is None:
        return ""
    return f"{value:%H:%M}" if isinstance(value, time) else str(value)[:5]


def _time(text: str) -> time | None:
    if not text:
        return None
    try:
        return time.fromisoformat(text).replace(second=0, microsecond=0, tzinfo=None)
    except ValueError:
        raise Refused("Type an hour such as 21:30.") from None


def _days(text: str) -> int | None:
    if not text:
        return None
    value = whole(text)
    if value > 7:
        raise Refused("A week has seven days.")
    return value
