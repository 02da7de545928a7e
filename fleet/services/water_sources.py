"""Setting up what a site is watered with."""

from typing import Any

from django.db import transaction

from fleet.models import Site, User, WaterSource
from fleet.selectors.people import require_set_up
from fleet.services.storing import remove, store

FIELDS = ("name", "kind", "flow_l_min", "static_pressure_kpa")


@transaction.atomic
def set_up_water_source(*, site: Site, by: User, name: str, **fields: Any) -> WaterSource:
    """Store a new water source of a site.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the site has a source of this name, or a field isn't one of ``FIELDS``.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, site.client.company_id)
    source = WaterSource(site=site)
    store(source, fields={"name": name, **fields}, may_set=FIELDS, once="name")
    return source


@transaction.atomic
def edit_water_source(*, source: WaterSource, by: User, **fields: Any) -> WaterSource:
    """Write what is said about a water source; raises as ``set_up_water_source``."""
    require_set_up(by, source.site.client.company_id)
    store(source, fields=fields, may_set=FIELDS, once="name")
    return source


@transaction.atomic
def remove_water_source(*, source: WaterSource, by: User) -> None:
    """Delete a water source no controller takes from; InUse otherwise."""
    require_set_up(by, source.site.client.company_id)
    remove(source)
