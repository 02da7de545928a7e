"""Telling a client's person by e-mail what became of their note."""

from datetime import timedelta

from django.conf import settings
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone as real_time

from common import clock
from desk import dates
from fleet.models import ClientAccess, ClientNote, Letter
from fleet.services.client_notes import answer_key
from fleet.services.letters.write import write
from scheduling.selectors.client_notes import Told, notes_for_letters, told

WAIT = timedelta(minutes=5)  # so long an answer can be taken back before anybody is told
LATE = timedelta(days=2)  # what wasn't told by then isn't news any more

ANSWER = """Good day{name},

you wrote to {company} about {site}:

{words}

{answer}

It stands on your page too: {address}
"""


def write_answers() -> list[Letter]:
    """Write to whoever wrote a note that was answered; nobody is told the same answer twice."""
    now = real_time.now()
    answered = notes_for_letters().filter(answered_at__gt=now - LATE, answered_at__lte=now - WAIT)
    some = _who_still_read(answered)
    known = set(
        Letter.objects.filter(key__in=[answer_key(one.note) for one in some]).values_list("key", flat=True)
    )
    return [_to_writer(one) for one in some if answer_key(one.note) not in known]


def _who_still_read(notes: QuerySet[ClientNote]) -> list[Told]:
    some = told(notes)
    opened = ClientAccess.objects.filter(client__access_from__lte=clock.today("UTC"))
    reads = set(
        opened.filter(client__in={one.note.site.client_id for one in some}).values_list("user", "client")
    )
    return [
        one
        for one in some
        if one.note.by is not None
        and one.note.by.is_active
        and (one.note.by_id, one.note.site.client_id) in reads
    ]


def _to_writer(one: Told) -> Letter:
    note, site = one.note, one.note.site
    company, by = site.client.company, note.by
    assert by is not None  # left out above
    return write(
        company=company,
        client=site.client,
        kind=Letter.Kind.ANSWER,
        key=answer_key(note),
        to=by.email,
        subject=f"Your note about {site}",
        text=ANSWER.format(
            name=f" {by.name}" if by.name else "",
            company=company,
            site=site,
            words=_quoted(note.words),
            answer="\n\n".join(_answer(one)),
            address=settings.SITE_URL + reverse("desk:site-notes", args=[site.pk]),
        ),
        by=note.answered_by,
    )


def _answer(one: Told) -> list[str]:
    """Return what was answered and which nights are left out, in paragraphs."""
    company = one.note.site.client.company
    parts = [f"They answered:\n\n{_quoted(one.note.answer)}"] if one.note.answer else []
    nights = [
        f"  {change.program}, {change.program.controller}: {_nights(change, company.units)}"
        for change in one.left_out
    ]
    if nights:
        parts.append("These nights are left out for you:\n\n" + "\n".join(nights))
    return parts or ["It was read."]


def _nights(change: object, units: str) -> str:
    first, last = (dates.day(getattr(change, name), units) for name in ("effective_from", "effective_to"))
    return f"night of {first}" if first == last else f"nights of {first} to {last}"


def _quoted(words: str) -> str:
    return "\n".join(f"  {line}" for line in words.splitlines())
