"""Write a letter down, once for each thing it is about."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Client, Company, Letter, LetterFile, User


@dataclass(frozen=True)
class Enclosed:
    """A file to go with a letter."""

    name: str
    content: bytes
    content_type: str = "application/pdf"
    shown_as: str = ""  # the name by which the letter's own text shows it, for pictures


def write(
    *,
    company: Company,
    kind: str,
    key: str,
    to: str,
    subject: str,
    text: str,
    html: str = "",
    client: Client | None = None,
    by: User | None = None,
    not_before: datetime | None = None,
    files: Sequence[Enclosed] = (),
) -> Letter:
    """Write a letter, or return the one that was written under this key before.

    Line breaks in the subject become spaces: a header holds one line.
    """
    when = {} if not_before is None else {"not_before": not_before, "next_attempt_at": not_before}
    with transaction.atomic():
        letter, new = Letter.objects.get_or_create(
            company=company,
            key=key,
            defaults={
                "client": client,
                "kind": kind,
                "to": to,
                "subject": " ".join(subject.split())[:200],
                "text": text,
                "html": html,
                "written_by": by,
                **when,
            },
        )
        if new:
            LetterFile.objects.bulk_create(
                LetterFile(
                    letter=letter,
                    name=one.name,
                    content_type=one.content_type,
                    content=one.content,
                    shown_as=one.shown_as,
                )
                for one in files
            )
    return letter
