"""Setting up a site's water meters."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from common.errors import Refused
from fleet.models import Meter, Site, User, Zone
from fleet.selectors.people import require_set_up
from fleet.services.storing import remove, store
from fleet.tenancy import company_id_of

FIELDS = ("name", "serial_number", "unit", "rolls_over_at", "mixed", "note", "source")


@transaction.atomic
def set_up_meter(
    *, site: Site, by: User, name: str, unit: str, zones: Iterable[Zone] = (), **fields: Any
) -> Meter:
    """Store a new meter of a site.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the site has a meter of this name, a zone is another site's, or a field isn't one of ``FIELDS``.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, site.client.company_id)
    meter = Meter(site=site)
    store(meter, fields={"name": name, "unit": unit, **fields}, may_set=FIELDS, once="name")
    _set_zones(meter, zones)
    return meter


@transaction.atomic
def edit_meter(*, meter: Meter, by: User, zones: Iterable[Zone] | None = None, **fields: Any) -> Meter:
    """Write what is said about a meter; raises as ``set_up_meter``.

    Its unit stays once it has readings or bills: their numbers would mean something else.
    """
    require_set_up(by, company_id_of(meter))
    if fields.get("unit", meter.unit) != meter.unit and (meter.readings.exists() or meter.bills.exists()):
        raise Refused("Its readings and bills are kept in this unit, so it stays.", field="unit")
    store(meter, fields=fields, may_set=FIELDS, once="name")
    if zones is not None:
        _set_zones(meter, zones)
    return meter


@transaction.atomic
def remove_meter(*, meter: Meter, by: User) -> None:
    """Delete a meter that has neither readings nor bills nor hours; InUse otherwise."""
    require_set_up(by, company_id_of(meter))
    remove(meter, along=frozenset({"files"}))


def _set_zones(meter: Meter, zones: Iterable[Zone]) -> None:
    wanted = list(zones)
    for zone in wanted:
        if zone.controller.site_id != meter.site_id:
            raise Refused(f"Zone {zone} is no zone of this site.", field="zones")
    meter.zones.set(wanted)
