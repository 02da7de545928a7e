"""Background tasks: each calls a service; running one twice is harmless."""

from celery import shared_task

from desk.letters.answers import write_answers
from desk.letters.opening import write_due
from desk.summaries.printing import ALONE
from desk.summaries.send import print_approved, to_print
from fleet.services.letters.post import post_letters


@shared_task(name="desk.letters")
def letters() -> dict[str, int]:
    """Write the letters whose day has come and hand over those that wait; run it every few minutes."""
    written = len(write_due()) + len(write_answers()) + print_approved(to_print()[:ALONE])
    return {"written": written} | post_letters().as_dict()
