"""Setting controllers up: what each can hold, and how a change reaches it."""

from typing import Any

from django.db import transaction

from fleet.models import Controller, Site, User
from fleet.selectors.people import require_set_up
from fleet.services.storing import remove, store

FIELDS = (
    "name",
    "source",
    "serial_number",
    "zone_capacity",
    "program_capacity",
    "starts_per_program",
    "percent_step",
    "percent_max",
    "percent_scope",
    "minute_step",
    "cycle_and_soak",
    "zones_at_once",
    "master_valve",
    "flow_sensor",
    "rain_sensor",
    "freeze_sensor",
    "delivery",
)


@transaction.atomic
def set_up_controller(*, site: Site, by: User, name: str, **fields: Any) -> Controller:
    """Store a new controller of a site; what isn't said is as most controllers are.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the site has a controller of this name, or a field isn't one of ``FIELDS``.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, site.client.company_id)
    controller = Controller(site=site)
    store(controller, fields={"name": name, **fields}, may_set=FIELDS, once="name")
    return controller


@transaction.atomic
def edit_controller(*, controller: Controller, by: User, **fields: Any) -> Controller:
    """Write what is said about a controller; raises as ``set_up_controller``."""
    require_set_up(by, controller.site.client.company_id)
    store(controller, fields=fields, may_set=FIELDS, once="name")
    return controller


@transaction.atomic
def remove_controller(*, controller: Controller, by: User) -> None:
    """Delete a controller without zones and programs; InUse otherwise."""
    require_set_up(by, controller.site.client.company_id)
    remove(controller)
