"""A client's own policy: only what it fills overrides the company's."""

from typing import Any

from django.db import transaction

from common.errors import MovedOn, Refused
from fleet.models import Client, Policy, User
from fleet.policy_fields import out_of_bounds
from fleet.selectors.client_policy import FIELDS, own_policy, policy_lines
from fleet.selectors.people import require_manage


def seen_policy(client: Client) -> str:
    """Return what a person saw of a client's own policy, to be sent back with what they change."""
    row = own_policy(client)
    return "|".join("" if row is None else str(getattr(row, name)) for name in FIELDS)


def set_client_policy(*, client: Client, by: User, values: dict[str, Any], seen: str) -> None:
    """Store a client's own values; None leaves one to the company, and none at all removes the row.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If a value lies out of bounds or two disagree; ``field`` says which.
    MovedOn
        If the values aren't those the person saw any more.
    """
    require_manage(by, client.company_id)
    for wrong in out_of_bounds(values):
        raise Refused(f"{wrong.label}: this value makes no sense.", field=wrong.name)
    with transaction.atomic():
        Client.objects.select_for_update().get(pk=client.pk)
        if seen_policy(client) != seen:
            raise MovedOn("Somebody has changed these values meanwhile.", current_status="changed")
        _in_order(client, values)
        _store(client, by, values)


def _in_order(client: Client, values: dict[str, Any]) -> None:
    without = {line.name: line.without for line in policy_lines(client)}
    low, high = (
        without[name] if values.get(name) is None else values[name] for name in ("percent_min", "percent_max")
    )
    if low > high:
        field = "percent_min" if values.get("percent_min") is not None else "percent_max"
        raise Refused(f"The least percent ({low}) is above the greatest ({high}).", field=field)


def _store(client: Client, by: User, values: dict[str, Any]) -> None:
    row = own_policy(client)
    if row is None and all(values.get(name) is None for name in FIELDS):
        return
    row = row or Policy(company_id=client.company_id, client=client)
    row._history_user = by  # type: ignore[attr-defined]
    if all(values.get(name) is None for name in FIELDS):
        row.delete()
        return
    for name in FIELDS:
        setattr(row, name, values.get(name))
    row.full_clean()
    row.save()
