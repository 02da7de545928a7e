"""The blanks of a note to the contractor."""

from desk.blanks import Blank, words
from desk.sheets.episode import day_blank

MOST_TYPED = 20_000  # what is longer isn't read at all; the service says what may be kept


def note_blanks() -> list[Blank]:
    """Return the blanks of a note."""
    return [
        Blank(
            "words",
            "What should we know?",
            read=words,
            kind="long",
            most=MOST_TYPED,
            required=True,
            effect="For example: please keep the lawn dry on Sunday, the choir sings there.",
        ),
        day_blank(
            "dry_from",
            "No water from, if you ask for dry days",
            effect="The first day that should stay dry, from midnight to midnight.",
        ),
        day_blank("dry_to", "To", effect="The last such day. Leave it empty for a single day."),
    ]
