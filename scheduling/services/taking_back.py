"""Taking back what was entered on the field sheet, until an hour has passed or a night has used it."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from common.errors import MovedOn
from fleet.models import Finding, SiteRain, SoilObservation, User, Visit, ZoneTrim
from fleet.selectors.people import require_enter
from fleet.services.put_fact import put_back, says
from scheduling.models import Change, Delivery, FieldEntry, Setting, Skip
from scheduling.selectors.field_entries import UNDO_FOR, used_by_a_night
from scheduling.services.altering import key_out
from scheduling.services.events import move
from scheduling.services.ticking import settings_of

Kind = FieldEntry.Kind
FACTS: dict[str, type[models.Model]] = {
    Kind.SOIL: SoilObservation,
    Kind.TRIM: ZoneTrim,
    Kind.RAIN: SiteRain,
}
CHANGED = "It was changed again since; nothing was taken back."


def take_back(*, entry: FieldEntry, by: User) -> bool:
    """Undo one entry; False if somebody has already.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    MovedOn
        If it is too late, a night has used it, or what was entered was changed again.
    """
    require_enter(by, entry.site.client.company_id)
    now = timezone.now()
    with transaction.atomic():
        claimed = FieldEntry.objects.filter(pk=entry.pk, taken_back_at=None).update(
            taken_back_at=now, taken_back_by=by
        )
        if not claimed:
            return False
        if now - entry.at > UNDO_FOR:
            raise MovedOn("That was entered over an hour ago; correct it instead.", current_status="kept")
        if FieldEntry.objects.filter(used_by_a_night(), pk=entry.pk).exists():
            raise MovedOn("A night has been decided with it; correct it instead.", current_status="used")
        WAYS[entry.kind](entry, by)
    return True


def _fact(entry: FieldEntry, by: User) -> None:
    row = FACTS[entry.kind]._default_manager.select_for_update().filter(pk=entry.row).first()
    if row is None or says(row, tuple(entry.after)) != entry.after:
        raise MovedOn(CHANGED, current_status="changed")
    put_back(row, entry.before)


def _change(entry: FieldEntry, by: User) -> None:
    changes = Change.objects.select_related("program__controller__site").defer("inputs")
    change = changes.get(pk=entry.row)
    before: dict[str, Any] = entry.before or {}
    night = date.fromisoformat(before["night"])
    if _later_waits(change) or settings_of(change, night) != entry.after["settings"]:
        raise MovedOn("A later change came after this one; it stays entered.", current_status=change.status)
    move(
        change,
        Change.Status.APPROVED,
        from_statuses=(Change.Status.APPLIED,),
        by=by,
        value=change.decided,
        note="Not entered after all.",
        applied_at=None,
        applied_on=None,
    )
    if change.is_alteration:
        key_out(change, before=before["versions"], after=entry.after["versions"])
    _settings_back(change, night, before["settings"])
    for skip in Skip.objects.filter(change=change):
        skip.delete()
    Delivery.objects.filter(change=change, state=Delivery.State.DONE).update(state=Delivery.State.WAITING)


def _later_waits(change: Change) -> bool:
    waiting = (Change.Status.PENDING, Change.Status.APPROVED)
    rows = Change.objects.filter(program=change.program_id, kind=change.kind, pk__gt=change.pk)
    return not change.is_skip and rows.filter(status__in=waiting).exists()


def _settings_back(change: Change, night: date, before: list[dict[str, Any]]) -> None:
    kept = {(row["program_id"], row["effective_from"]): row for row in before}
    nights = (night - timedelta(days=1), night)
    rows = Setting.objects.filter(program__controller=change.program.controller_id, effective_from__in=nights)
    for row in rows:
        was = kept.get((row.program_id, row.effective_from.isoformat()))
        if was is None:
            row.delete()
        elif (row.percent, row.how, row.change_id) != (was["percent"], was["how"], was["change_id"]):
            row.percent, row.how, row.change_id = was["percent"], was["how"], was["change_id"]
            row.save()


def _finding(entry: FieldEntry, by: User) -> None:
    row = Finding.objects.filter(pk=entry.row, status=Finding.Status.OPEN).first()
    if row is None:
        raise MovedOn(CHANGED, current_status="changed")
    if row.photos.exclude(by=entry.by_id).exists():
        raise MovedOn("Somebody else added photos since; nothing was taken back.", current_status="changed")
    row.delete()  # with the photos of who entered it


def _mended(entry: FieldEntry, by: User) -> None:
    row = Finding.objects.filter(pk=entry.row, status=Finding.Status.MENDED).first()
    if row is None:
        raise MovedOn(CHANGED, current_status="changed")
    row.status = Finding.Status.OPEN
    row.save(update_fields=["status"])


def _visit(entry: FieldEntry, by: User) -> None:
    row = Visit.objects.filter(pk=entry.row, done_at__isnull=False).first()
    if row is None:
        raise MovedOn(CHANGED, current_status="changed")
    row.done_at = None
    row.save(update_fields=["done_at"])


WAYS: dict[str, Callable[[FieldEntry, User], None]] = {
    Kind.CHANGE: _change,
    Kind.SOIL: _fact,
    Kind.TRIM: _fact,
    Kind.RAIN: _fact,
    Kind.FINDING: _finding,
    Kind.MENDED: _mended,
    Kind.VISIT: _visit,
}
