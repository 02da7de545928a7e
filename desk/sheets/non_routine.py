"""The blanks of a baseline's period, and of a change that no weather explains."""

from dataclasses import replace

from common import units as convert
from desk.blanks import Blank, one_of, words
from desk.sheets.episode import day_blank
from desk.sheets.measured import measure
from reports.models import NonRoutineChange
from reports.models.baselines import MOST_L_DAY

KINDS = [(str(key), str(label)) for key, label in NonRoutineChange.Kind.choices]


def period_blanks() -> list[Blank]:
    """Return the blanks of the days whose bills a baseline is fitted on."""
    return [
        day_blank("first", "First day", required=True),
        day_blank(
            "last",
            "Last day",
            required=True,
            effect="Bills that lie wholly between these days count: twelve months at least, better two or "
            "three years, all of them before you changed anything.",
        ),
    ]


def change_blanks(units: str) -> list[Blank]:
    """Return the blanks of a non-routine change."""
    unit, per = ("gal a day", convert.L_PER_GALLON) if units == "us" else ("L a day", 1.0)
    return [
        Blank("kind", "What", read=one_of(KINDS), kind="choice", choices=KINDS),
        day_blank("first", "First day", required=True),
        day_blank("last", "Last day", effect="Empty: it goes on."),
        _litres(unit, per),
        Blank("reason", "Why, and how you know how much", read=words, most=200, required=True),
    ]


def _litres(unit: str, per: float) -> Blank:
    """Return the blank of the water, empty where nothing is said yet."""
    blank = measure(
        "litres_day",
        "More or less water",
        unit=unit,
        si=per,
        bounds=(-MOST_L_DAY, MOST_L_DAY),
        required=True,
        effect="More than the baseline can know: 300 for new turf or a leak. Less, with a minus: "
        "-300 where nobody is there or a bed was taken out.",
    )
    return replace(blank, show=lambda value: blank.show(value) if value else "")
