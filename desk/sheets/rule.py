"""The blanks of a watering rule."""

from collections.abc import Callable, Sequence
from datetime import time
from typing import Any

from django.core.exceptions import ValidationError

from common.errors import Refused
from desk.blanks import Blank, one_of, whole, words
from fleet.models import Town, WateringRule
from fleet.models.rules import MOST_STAGE, WEEKDAYS, day_of_year
from fleet.numerics.heads import HEADS

DAYS = [(day, day.capitalize()) for day in WEEKDAYS]


def rule_blanks(towns: Sequence[Town] = ()) -> list[Blank]:
    """Return the blanks of a rule; ``towns`` are those it may belong to."""
    listed = [("", "no town: holds where a site is put under it"), *((str(t.pk), t.name) for t in towns)]
    return [
        Blank("name", "Name", read=words, most=120, required=True),
        Blank(
            "town_id",
            "Town",
            read=_town(listed),
            show=lambda value: "" if value is None else str(value),
            kind="choice",
            choices=listed,
            effect="A rule of a town holds at its sites while its stage is in force.",
        ),
        Blank(
            "stage",
            "Stage of the town",
            read=_up_to(MOST_STAGE, f"Stages go from 0 to {MOST_STAGE}."),
            show=lambda value: "" if value is None else str(value),
            effect="Empty where it belongs to no town; 0 for what holds without any stage.",
        ),
        Blank(
            "addresses",
            "Holds for",
            read=lambda text: one_of(WateringRule.Addresses.choices)(text or WateringRule.Addresses.ANY),
            kind="choice",
            choices=WateringRule.Addresses.choices,
            effect="Where a town writes another rule for odd and for even house numbers.",
        ),
        Blank(
            "kind",
            "Kind of sites",
            read=words,
            most=40,
            effect="As the sites say it, such as shared grounds. Empty: every kind with no rule of its own.",
        ),
        Blank(
            "weekdays",
            "Days",
            read=words,
            most=200,
            kind="days",
            choices=DAYS,
            effect="None ticked: any day of the week.",
        ),
        *(
            Blank(
                f"{side}_weekdays",
                f"Days of {side} addresses instead",
                read=words,
                most=200,
                kind="days",
                choices=DAYS,
            )
            for side in ("odd", "even")
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
        _hour("again_from", "And again from", effect="For two spans: until 9:00, and again from 18:00."),
        _hour("again_to", "And again until", effect="Empty: until midnight."),
        _month_day("season_from", "Holds from", "Month and day, such as 05-01. Empty: all year."),
        _month_day("season_to", "Holds to", "Month and day, included; it may pass New Year."),
        Blank(
            "exempt_heads",
            "Heads it leaves alone",
            read=words,
            most=200,
            kind="days",
            choices=[(key, head.name) for key, head in HEADS.items()],
            effect="Zones under these may be watered whenever one likes.",
        ),
        Blank(
            "zone_minutes",
            "Minutes of a zone and watering day at the most",
            read=_up_to(1440, "A day has 1,440 minutes.", least=1),
            show=lambda value: "" if value is None else str(value),
            unit="min",
            effect="Empty: no limit.",
        ),
        Blank(
            "less_percent",
            "Less water than before",
            read=_up_to(100, "It can't be more than all of it."),
            show=lambda value: "" if value is None else str(value),
            unit="%",
            effect="Spread over a site's zones when the town's stage is switched: trees keep theirs, "
            "then shrubs, turf last.",
        ),
        Blank(
            "source",
            "Where this rule is written",
            read=words,
            most=200,
            effect="The town's own text holds, not this copy of it. Note where to look it up.",
        ),
    ]


def _hour(name: str, label: str, *, effect: str = "Empty: no limit at this end.") -> Blank:
    return Blank(name, label, read=_time, show=_clock, kind="time", effect=effect)


def _month_day(name: str, label: str, effect: str) -> Blank:
    return Blank(name, label, read=_day, effect=effect)


def _day(text: str) -> str:
    if not text:
        return ""
    try:
        day_of_year(text)
    except ValidationError as error:
        raise Refused(error.messages[0]) from None
    return text


def _town(listed: Sequence[tuple[str, str]]) -> Callable[[str], int | None]:
    offered = one_of(listed)
    return lambda text: int(offered(text)) if text else None


def _up_to(most: int, message: str, *, least: int = 0) -> Callable[[str], int | None]:
    def read(text: str) -> int | None:
        value = whole(text) if text else None
        if value is not None and not least <= value <= most:
            raise Refused(message)
        return value

    return read


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
