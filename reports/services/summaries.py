"""A summary's life: made as a draft, held back or approved by a person, stopped for a client."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone as real_time

from common.errors import MovedOn, Refused
from fleet.models import Client, User
from fleet.selectors.people import require_manage
from reports.models import Summary, SummaryPaper, SummaryStop
from reports.models.summaries import told_apart
from reports.selectors.summary.figures import month_figures

State = Summary.State
AT_ONCE = 100


def make(clients: Sequence[Client], month: date) -> list[Summary]:
    """Make the summaries of some clients for a month; drafts are made anew, approved ones stay as they are.

    Parameters
    ----------
    clients
        With their company. Taken a hundred at a time.
    month
        Its first day.
    """
    made: list[Summary] = []
    for start in range(0, len(clients), AT_ONCE):
        made += _made(clients[start : start + AT_ONCE], month)
    return made


def _made(clients: Sequence[Client], month: date) -> list[Summary]:
    kept = {row.client_id: row for row in Summary.objects.filter(client__in=clients, month=month)}
    open_ = [c for c in clients if c.pk not in kept or kept[c.pk].state != State.APPROVED]
    figures = month_figures(open_, month)
    now = real_time.now()
    with transaction.atomic():
        for client in open_:
            row = kept.get(client.pk)
            if row is None:
                kept[client.pk], new = Summary.objects.get_or_create(
                    client=client, month=month, defaults={"figures": figures[client.pk], "made_at": now}
                )
                if new:
                    continue
            # an approval in between keeps its figures
            Summary.objects.filter(client=client, month=month).exclude(state=State.APPROVED).update(
                figures=figures[client.pk], made_at=now, **told_apart(figures[client.pk])
            )
    rows = Summary.objects.filter(client__in=clients, month=month).select_related("client__company")
    order = {client.pk: n for n, client in enumerate(clients)}
    return sorted(rows, key=lambda row: order[row.client_id])


def approve(summary: Summary, *, by: User | None, made_by: datetime | None = None) -> Summary:
    """Approve a draft: from now on its figures stay as they are. Done twice it is done once.

    ``made_by`` is the latest moment at which what was looked at can have been made.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company (None: the operator of the installation).
    Refused
        If there is nothing in it to tell.
    MovedOn
        If it is held back, or was made anew since ``made_by``.
    """
    if by is not None:
        require_manage(by, summary.client.company_id)
    with transaction.atomic():
        row = Summary.objects.select_for_update().get(pk=summary.pk)
        if row.state == State.APPROVED:
            return row
        if row.state == State.HELD:
            raise MovedOn("This summary is held back.", current_status=row.state)
        if made_by is not None and row.made_at is not None and row.made_at > made_by:
            raise MovedOn("This summary was made anew meanwhile; look again.", current_status=row.state)
        if not row.figures or row.figures.get("empty"):
            raise Refused(f"There is nothing to tell: {row.figures.get('empty') or 'it was never made'}.")
        row.state, row.approved_at, row.approved_by = State.APPROVED, real_time.now(), by
        row.save()
    return row


def hold(summary: Summary, *, by: User, because: str) -> Summary:
    """Hold a draft back, with the reason; nothing goes out until it is released."""
    return _moved(summary, by=by, frm=State.DRAFT, to=State.HELD, because=because)


def release(summary: Summary, *, by: User) -> Summary:
    """Make a summary that was held back a draft again."""
    return _moved(summary, by=by, frm=State.HELD, to=State.DRAFT, because="")


def put_back(pk: int, *, because: str) -> None:
    """Hold an approved summary back that nothing of was printed yet, for a person to look at."""
    with transaction.atomic():
        row = Summary.objects.select_for_update().get(pk=pk)
        if row.state != State.APPROVED or SummaryPaper.objects.filter(summary=row).exists():
            return
        row.state, row.held_because = State.HELD, because[:200]
        row.approved_at = row.approved_by = None
        row.save()


def _moved(summary: Summary, *, by: User, frm: str, to: str, because: str) -> Summary:
    require_manage(by, summary.client.company_id)
    with transaction.atomic():
        row = Summary.objects.select_for_update().get(pk=summary.pk)
        if row.state == to:
            return row
        if row.state != frm:
            raise MovedOn(f"This summary is {row.get_state_display()} by now.", current_status=row.state)
        row.state, row.held_because = to, because[:200]
        row.save()
    return row


def remark(summary: Summary, *, by: User, words: str) -> Summary:
    """Keep a person's own words to the client on a summary that isn't approved yet."""
    require_manage(by, summary.client.company_id)
    with transaction.atomic():
        row = Summary.objects.select_for_update().get(pk=summary.pk)
        if row.state == State.APPROVED:
            raise MovedOn("This summary is approved by now.", current_status=row.state)
        row.remark = words.strip()
        row.save()
    return row


def stop(client: Client, *, by: User, because: str) -> SummaryStop:
    """Give a client no more summaries, with the reason; what is approved already still goes."""
    require_manage(by, client.company_id)
    if not because.strip():
        raise Refused("Say why, for whoever asks later.", field="because")
    row, _ = SummaryStop.objects.get_or_create(
        client=client, defaults={"reason": because.strip()[:200], "by": by}
    )
    return row


def resume(client: Client, *, by: User) -> None:
    """Give a client summaries again."""
    require_manage(by, client.company_id)
    for row in SummaryStop.objects.filter(client=client):
        row.delete()
