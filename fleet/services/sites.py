"""Setting sites up: the place decides whose weather they share."""

from typing import Any

from django.db import transaction

from fleet.models import Client, Site, User
from fleet.selectors.people import require_set_up
from fleet.services.storing import remove, store
from weather.services.cells import cell_for

PLACE = ("latitude", "longitude", "elevation_m", "timezone")
FIELDS = (
    *PLACE,
    "elevation_basis",
    "name",
    "address",
    "season",
    "watering_rule",
    "town",
    "kind",
    "house_number",
    "tariff",
)


@transaction.atomic
def set_up_site(
    *,
    client: Client,
    by: User,
    name: str,
    latitude: float,
    longitude: float,
    elevation_m: float,
    timezone: str,
    **fields: Any,
) -> Site:
    """Store a new site of a client, with the weather cell of its place.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If the client has a site of this name, or a field isn't one of ``FIELDS``.
    ValidationError
        If a value can't be.
    """
    require_set_up(by, client.company_id)
    site = Site(client=client)
    place = {"latitude": latitude, "longitude": longitude, "elevation_m": elevation_m, "timezone": timezone}
    _write(site, {"name": name, **place, **fields})
    return site


@transaction.atomic
def edit_site(*, site: Site, by: User, **fields: Any) -> Site:
    """Write what is said about a site; one that moves is given the weather of its new place.

    Raises as ``set_up_site``.
    """
    require_set_up(by, site.client.company_id)
    _write(site, fields)
    return site


@transaction.atomic
def remove_site(*, site: Site, by: User) -> None:
    """Delete a site with nothing on it; InUse otherwise."""
    require_set_up(by, site.client.company_id)
    remove(site)


def _write(site: Site, fields: dict[str, Any]) -> None:
    known = {name: getattr(site, name) for name in PLACE}
    place = {name: fields.get(name, known[name]) for name in PLACE}
    if site.cell_id is None or place != known:
        Site(client=site.client, name="a place", **place).clean_fields()
        fields = {**fields, "cell": cell_for(**place)}
    store(site, fields=fields, may_set=(*FIELDS, "cell"), once="name")
