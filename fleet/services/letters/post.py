"""Hand letters that are due over to the mail server: each claimed first, none sent twice by itself."""

import smtplib
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from email.mime.image import MIMEImage

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db.models import F
from django.utils import timezone as real_time

from common.processes import is_gone, this_process
from fleet.models import Letter, LetterFile

State = Letter.State
MOST_ATTEMPTS = 6
FIRST_WAIT = timedelta(minutes=5)  # doubled each time
LOST_AFTER = timedelta(minutes=15)  # whoever claimed it is gone by then
AT_ONCE = 200

# The server said no before or instead of taking it: surely not sent.
REFUSALS = (
    smtplib.SMTPRecipientsRefused,
    smtplib.SMTPSenderRefused,
    smtplib.SMTPDataError,
    smtplib.SMTPHeloError,
    smtplib.SMTPNotSupportedError,
)


@dataclass
class Posted:
    """What one round came to, by the numbers of the letters."""

    sent: list[int] = field(default_factory=list)
    again: list[int] = field(default_factory=list)
    failed: list[int] = field(default_factory=list)
    unsure: list[int] = field(default_factory=list)
    no_server: bool = False

    def as_dict(self) -> dict[str, int]:
        """Return how many of each."""
        return {name: len(getattr(self, name)) for name in ("sent", "again", "failed", "unsure")}


def post_letters(
    *, now: datetime | None = None, most: int = AT_ONCE, kinds: Collection[str] = Letter.Kind.values
) -> Posted:
    """Hand over every letter whose time has come; run it as often as you like, by as many as you like.

    A letter is claimed in a statement of its own before anything is handed over. Whatever breaks after that
    leaves it unsure, and only a person may send it again. Without a mail server letters wait.
    """
    posted = Posted()
    moment = now or real_time.now()
    posted.unsure += _lost(moment)
    if not settings.MAIL_SERVER:
        posted.no_server = True
        return posted
    connection: BaseEmailBackend | None = None
    for pk in _due(moment, most, kinds):
        if not _claimed(pk, moment):
            continue
        letter = Letter.objects.select_related("company").prefetch_related("files").get(pk=pk)
        try:
            connection = connection or get_connection(timeout=settings.EMAIL_TIMEOUT)
            connection.open()
        except (OSError, smtplib.SMTPException) as error:  # nothing was handed over
            _back(letter, error, moment, posted)
            return posted
        try:
            _message(letter, connection).send()
        except REFUSALS as error:
            _back(letter, error, moment, posted)
        except (OSError, smtplib.SMTPException) as error:  # broke in the middle: nobody knows
            connection = None
            _end(letter, State.UNSURE, error)
            posted.unsure.append(pk)
        else:
            Letter.objects.filter(pk=pk, state=State.SENDING).update(
                state=State.SENT, sent_at=real_time.now(), error=""
            )
            posted.sent.append(pk)
    if connection is not None:
        connection.close()
    return posted


def _due(now: datetime, most: int, kinds: Collection[str]) -> list[int]:
    due = Letter.objects.filter(
        state=State.WAITING, kind__in=kinds, not_before__lte=now, next_attempt_at__lte=now
    )
    return list(due.order_by("next_attempt_at", "pk").values_list("pk", flat=True)[:most])


def _claimed(pk: int, now: datetime) -> bool:
    """Claim a letter; False if somebody else was faster, or it was stopped meanwhile."""
    free = Letter.objects.filter(pk=pk, state=State.WAITING)
    return bool(
        free.update(
            state=State.SENDING, claimed_at=now, claimed_by=this_process(), attempts=F("attempts") + 1
        )
    )


def _lost(now: datetime) -> list[int]:
    """Mark what was claimed and never ended: the one who claimed it is gone."""
    claimed = Letter.objects.filter(state=State.SENDING)
    stale = [
        pk
        for pk, at, by in claimed.order_by("pk").values_list("pk", "claimed_at", "claimed_by")
        if (at is not None and at < now - LOST_AFTER) or is_gone(by)
    ]
    words = "The service stopped while this letter was handed over."
    return [pk for pk in stale if claimed.filter(pk=pk).update(state=State.UNSURE, error=words)]


def _back(letter: Letter, error: Exception, now: datetime, posted: Posted) -> None:
    """Let a letter that was surely not sent wait for its next attempt, or give up."""
    if letter.attempts >= MOST_ATTEMPTS or _for_good(error):
        _end(letter, State.FAILED, error)
        posted.failed.append(letter.pk)
        return
    wait = FIRST_WAIT * 2 ** (letter.attempts - 1)
    Letter.objects.filter(pk=letter.pk, state=State.SENDING).update(
        state=State.WAITING, next_attempt_at=now + wait, error=said(error)
    )
    posted.again.append(letter.pk)


def _end(letter: Letter, state: str, error: Exception) -> None:
    Letter.objects.filter(pk=letter.pk, state=State.SENDING).update(state=state, error=said(error))


def _for_good(error: Exception) -> bool:
    """Tell whether the server refuses this letter now and always (a reply from 500 on)."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in error.recipients.values())
    return isinstance(error, smtplib.SMTPResponseException) and error.smtp_code >= 500


def said(error: Exception) -> str:
    """Return what went wrong in a line."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(error.recipients.values()))
        return f"The mail server refused the address: {code} {_plain(words)}"[:300]
    if isinstance(error, smtplib.SMTPResponseException):
        return f"The mail server answered {error.smtp_code} {_plain(error.smtp_error)}"[:300]
    return f"The mail server could not be reached or broke off: {error}"[:300]


def _plain(words: bytes | str) -> str:
    return words.decode("utf-8", "replace") if isinstance(words, bytes) else str(words)


def _message(letter: Letter, connection: BaseEmailBackend) -> EmailMultiAlternatives:
    company = letter.company
    message = EmailMultiAlternatives(
        subject=letter.subject,
        body=letter.text,
        to=[letter.to],
        reply_to=[company.email] if company.email else None,
        headers={"Message-ID": f"<letter.{letter.pk}.{letter.attempts}@{settings.MAIL_DOMAIN}>"},
        connection=connection,
    )
    if letter.html:
        message.attach_alternative(letter.html, "text/html")
    for file in letter.files.all():
        if file.shown_as:
            message.attach(_picture(file))
        else:
            message.attach(file.name, bytes(file.content), file.content_type)
    return message


def _picture(file: LetterFile) -> MIMEImage:
    """Return a picture that the letter's own text shows by its name."""
    picture = MIMEImage(bytes(file.content), file.content_type.partition("/")[2])
    picture["Content-ID"] = f"<{file.shown_as}>"
    picture["Content-Disposition"] = f'inline; filename="{file.name}"'
    return picture
