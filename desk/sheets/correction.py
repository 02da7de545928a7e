"""The blanks of a site's correction of reference ET."""

from desk.blanks import Blank, words
from desk.sheets.episode import day_blank
from desk.sheets.measured import measure
from fleet.models.site_corrections import LEAST, MOST


def correction_blanks(*, new: bool) -> list[Blank]:
    """Return the blanks; one that is set right stays with its day."""
    blanks = [
        measure(
            "factor",
            "Counts at",
            unit="%",
            si=0.01,
            bounds=(LEAST, MOST),
            effect="Of the reference ET of its place. 100 takes an earlier correction back.",
            required=True,
        ),
        Blank(
            "reason",
            "Why",
            read=words,
            most=200,
            required=True,
            effect="What makes it differ: walls that keep wind and sun off, fog from the sea, a windy ridge.",
        ),
    ]
    since = day_blank(
        "effective_from",
        "From",
        required=True,
        effect="Soil water and savings from this day on are counted anew with it.",
    )
    return [*blanks, since] if new else blanks
