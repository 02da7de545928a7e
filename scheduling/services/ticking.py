"""A change is ticked as entered on the field sheet, with what its settings were before."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction

from common import clock
from common.errors import MovedOn
from fleet.models import User
from scheduling.models import Change, FieldEntry, Setting
from scheduling.services.altering import versions_of
from scheduling.services.entering import apply
from scheduling.services.field_notes import Noted, log

SETTING = ("program_id", "effective_from", "percent", "how", "change_id")


def enter_change(*, change: Change, by: User, found_percent: int | None = None) -> Noted:
    """Record that a change was entered tonight; see ``apply``. The same person's second tap is harmless."""
    try:
        with transaction.atomic():
            return Noted(change, _enter(change, by, found_percent))
    except MovedOn:
        if _is_second_tap(change, by, found_percent):
            return Noted(change, None)
        raise


def settings_of(change: Change, night: date) -> list[dict[str, Any]]:
    """Return what a tick of a night may touch: its controller's settings of that night and the one before."""
    nights = (night - timedelta(days=1), night)
    rows = Setting.objects.filter(program__controller=change.program.controller_id, effective_from__in=nights)
    return [
        row | {"effective_from": row["effective_from"].isoformat()}
        for row in rows.order_by("program", "effective_from").values(*SETTING)
    ]


def _enter(change: Change, by: User, found: int | None) -> FieldEntry:
    night = clock.today(change.program.controller.site.timezone)
    before = settings_of(change, night)
    versions = versions_of(change) if change.is_alteration else {}
    apply(change=change, by=by, applied_on=night, found_percent=found)
    return log(
        FieldEntry.Kind.CHANGE,
        change,
        site=change.program.controller.site,
        by=by,
        about=f"{change.program.controller}, {change.program}",
        before={"night": night, "settings": before, "versions": versions},
        after={
            "found": found,
            "settings": settings_of(change, night),
            "versions": versions_of(change) if change.is_alteration else {},
        },
    )


def _is_second_tap(change: Change, by: User, found: int | None) -> bool:
    first = FieldEntry.objects.filter(
        kind=FieldEntry.Kind.CHANGE, row=change.pk, by=by, taken_back_at=None
    ).first()
    return first is not None and first.after["found"] == found
