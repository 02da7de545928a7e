"""Setting zones up, as surveyed; what nobody has looked at stays empty."""

from typing import Any

from django.db import transaction

from common.errors import Refused
from fleet.models import Controller, User, Zone
from fleet.models.zones import SURVEYED
from fleet.selectors.people import require_set_up
from fleet.services.storing import remove, store

FIELDS = ("number", "name", *SURVEYED, "basis")


@transaction.atomic
def set_up_zone(*, controller: Controller, by: User, number: int, name: str, **fields: Any) -> Zone:
    """Store a new zone of a controller.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the controller has this number already or not so many, or a field isn't one of ``FIELDS``.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, controller.site.client.company_id)
    zone = Zone(controller=controller)
    _write(zone, {"number": number, "name": name, **fields})
    return zone


@transaction.atomic
def edit_zone(*, zone: Zone, by: User, **fields: Any) -> Zone:
    """Write what is said about a zone; raises as ``set_up_zone``."""
    require_set_up(by, zone.controller.site.client.company_id)
    _write(zone, fields)
    return zone


@transaction.atomic
def remove_zone(*, zone: Zone, by: User) -> None:
    """Delete a zone that no program runs and nobody has looked at; InUse otherwise."""
    require_set_up(by, zone.controller.site.client.company_id)
    remove(zone)


def _write(zone: Zone, fields: dict[str, Any]) -> None:
    most = zone.controller.zone_capacity
    if fields.get("number", 0) > most:
        raise Refused(f"This controller has zones 1 to {most}.", field="number")
    store(zone, fields=fields, may_set=FIELDS, once="number")
