"""Setting clients up, and what is known about them."""

from datetime import date
from typing import Any

from django.db import transaction

from common.errors import Refused
from fleet.models import Client, Company, User
from fleet.selectors.people import companies_set_up_by, require_set_up
from fleet.services.storing import remove, store

FIELDS = ("name", "email", "phone", "access_from", "note")


@transaction.atomic
def set_up_client(
    *,
    by: User,
    name: str,
    company: Company | None = None,
    email: str = "",
    phone: str = "",
    access_from: date | None = None,
    note: str = "",
) -> Client:
    """Store a new client of a company; without one, of the only company the person sets clients up for.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If it isn't clear for which company, or there is a client of this name.
    ValidationError
        If a value can't be.
    """
    client = Client(company_id=_company(by, company))
    said = {"name": name, "email": email, "phone": phone, "access_from": access_from, "note": note}
    store(client, fields=said, may_set=FIELDS, once="name")
    return client


@transaction.atomic
def edit_client(*, client: Client, by: User, **fields: Any) -> Client:
    """Write what is said about a client; raises as ``set_up_client``."""
    require_set_up(by, client.company_id)
    store(client, fields=fields, may_set=FIELDS, once="name")
    return client


@transaction.atomic
def remove_client(*, client: Client, by: User) -> None:
    """Delete a client that has nothing; InUse otherwise."""
    require_set_up(by, client.company_id)
    remove(client)


def _company(by: User, company: Company | None) -> int:
    if company is not None:
        require_set_up(by, company.pk)
        return company.pk
    mine = companies_set_up_by(by)
    if len(mine) > 1:
        raise Refused("You work for several companies; say for which.", field="company")
    require_set_up(by, mine[0] if mine else 0)
    return mine[0]
