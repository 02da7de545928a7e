"""Hand approved summaries over: printed from frozen figures, written as letters once, posted by the drain."""

from collections.abc import Callable, Sequence
from hashlib import sha256

from django.db import transaction

from desk.summaries.jobs import job_of
from desk.summaries.printing import Printed, Unprinted, many
from fleet.models import Letter
from fleet.services.letters.write import Enclosed, write
from reports.models import Summary, SummaryPaper
from reports.selectors.summary.states import readers
from reports.services.summaries import put_back

AT_ONCE = 200


def to_print() -> list[int]:
    """Return the approved summaries whose letters aren't written yet, the oldest first."""
    rows = Summary.objects.filter(state=Summary.State.APPROVED, paper=None)
    return list(rows.order_by("approved_at", "pk").values_list("pk", flat=True))


def print_approved(ids: Sequence[int], *, told: Callable[[int], None] = lambda done: None) -> int:
    """Print approved summaries and write their letters; return how many were new.

    Run it as often as you like, by as many as you like: a summary is printed from figures that no longer
    move, and its paper and letters are stored in one transaction, once. ``told`` hears how many are done.
    """
    new = done = 0
    for start in range(0, len(ids), AT_ONCE):
        rows = Summary.objects.filter(
            pk__in=ids[start : start + AT_ONCE], state=Summary.State.APPROVED, paper=None
        ).select_related("client__company")
        for printed in many([job_of(row) for row in rows]):
            if isinstance(printed, Unprinted):
                put_back(printed.key, because=f"It couldn't be printed: {printed.error}")
            else:
                new += _store(printed)
            done += 1
            told(done)
    return new


def _store(printed: Printed) -> bool:
    """Store a summary's paper and write its letters, unless somebody was faster."""
    with transaction.atomic():
        row = (
            Summary.objects.select_for_update(of=("self",))
            .select_related("client__company")
            .get(pk=printed.key)
        )
        if SummaryPaper.objects.filter(summary=row).exists():
            return False
        SummaryPaper.objects.create(summary=row, content=printed.pdf)
        to = readers([row.client])[row.client_id]
        row.letters.set([_letter(row, printed, address) for address in to])
    return True


def _letter(row: Summary, printed: Printed, to: str) -> Letter:
    files = [
        Enclosed(f"{name}.png", picture, "image/png", shown_as=name)
        for name, picture in printed.pictures.items()
    ]
    return write(
        company=row.client.company,
        client=row.client,
        kind=Letter.Kind.SUMMARY,
        key=letter_key(row, to),
        to=to,
        subject=printed.subject,
        text=printed.text,
        html=printed.html,
        by=row.approved_by,
        files=[Enclosed(paper_name(row), printed.pdf), *files],
    )


def letter_key(row: Summary, to: str) -> str:
    """Return what a client's letter of a month to one address is called: under one key it is written once."""
    whose = to.lower() if len(to) <= 80 else sha256(to.lower().encode()).hexdigest()
    return f"summary:{row.client_id}:{row.month:%Y-%m}:{whose}"


def paper_name(row: Summary) -> str:
    """Return the name of the file."""
    return f"watering-{row.month:%Y-%m}.pdf"
