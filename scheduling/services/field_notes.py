"""Everything entered on the field sheet, each with an entry by which it can be taken back."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import models, transaction

from fleet.models import Finding, Site, User, Visit, Zone
from fleet.services.facts import SOIL_SHOWN, TRIM_SHOWN, note_soil, trim_zone
from fleet.services.findings import mend, report_finding
from fleet.services.put_fact import Put, says
from fleet.services.site_rain import SHOWN as RAIN_SHOWN
from fleet.services.site_rain import note_rain
from fleet.services.visits import visit_done
from scheduling.models import FieldEntry

Kind = FieldEntry.Kind


@dataclass(frozen=True)
class Noted:
    """A row as it was entered; ``entry`` is None where it said the same already."""

    row: Any
    entry: FieldEntry | None


def log(kind: str, row: models.Model, *, site: Site, by: User, about: str, **said: Any) -> FieldEntry:
    """Write an entry down, inside the transaction of what it is about."""
    return FieldEntry.objects.create(site=site, kind=kind, row=row.pk, by=by, about=about[:200], **said)


def enter_soil(*, zone: Zone, by: User, on: date, probed: str, seen: str) -> Noted:
    """Store how a zone's soil felt; see ``note_soil``."""
    with transaction.atomic():
        put = note_soil(zone=zone, by=by, on=on, probed=probed, seen=seen)
        return _fact(Kind.SOIL, put, SOIL_SHOWN, site=zone.controller.site, by=by, about=str(zone))


def enter_trim(*, zone: Zone, by: User, on: date, trim: str, reason: str, seen: str) -> Noted:
    """Store that a zone needs less or more; see ``trim_zone``."""
    with transaction.atomic():
        put = trim_zone(zone=zone, by=by, on=on, trim=trim, reason=reason, seen=seen)
        return _fact(Kind.TRIM, put, TRIM_SHOWN, site=zone.controller.site, by=by, about=str(zone))


def enter_rain(*, site: Site, by: User, on: date, day: date, gauge_mm: float | None, seen: str) -> Noted:
    """Store how much it rained on a site; see ``note_rain``."""
    with transaction.atomic():
        put = note_rain(site=site, by=by, on=on, day=day, gauge_mm=gauge_mm, seen=seen)
        return _fact(Kind.RAIN, put, (*RAIN_SHOWN, "date"), site=site, by=by, about=str(site))


def enter_finding(*, zone: Zone, by: User, on: date, **found: Any) -> Noted:
    """Store that something is broken; see ``report_finding``."""
    with transaction.atomic():
        row, new = report_finding(zone=zone, by=by, on=on, **found)
        return _flag(Kind.FINDING, row, new, site=zone.controller.site, by=by)


def enter_mended(*, finding: Finding, by: User) -> Noted:
    """Close a finding; see ``mend``."""
    with transaction.atomic():
        row, new = mend(finding=finding, by=by)
        return _flag(Kind.MENDED, row, new, site=finding.zone.controller.site, by=by)


def enter_visit(*, visit: Visit, by: User, on: date) -> Noted:
    """Tick a visit done; see ``visit_done``."""
    with transaction.atomic():
        row, new = visit_done(visit=visit, by=by, on=on)
        return _flag(Kind.VISIT, row, new, site=visit.site, by=by)


def _fact(kind: str, put: Put[Any], shown: tuple[str, ...], **about: Any) -> Noted:
    if not put.written:
        return Noted(put.row, None)
    return Noted(put.row, log(kind, put.row, before=put.before, after=says(put.row, shown), **about))


def _flag(kind: str, row: Any, new: bool, *, site: Site, by: User) -> Noted:
    return Noted(row, log(kind, row, site=site, by=by, about=str(row)) if new else None)
