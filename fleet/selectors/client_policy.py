"""A client's own policy beside the company's: what holds, and where it comes from."""

from dataclasses import dataclass, fields
from typing import Any

from fleet.models import Client, Policy
from fleet.policy_fields import POLICY_FIELD
from fleet.selectors.policies import PolicyInForce

FIELDS = tuple(field.name for field in fields(PolicyInForce))
OWN, COMPANY, USUAL = "this client's own", "the company's", "usual"


@dataclass(frozen=True)
class Line:
    """One value of the policy in force."""

    name: str
    label: str
    value: Any
    own: Any  # None where the client has none of its own
    without: Any  # what holds without an own value
    source: str


def own_policy(client: Client) -> Policy | None:
    """Return the row that overrides the company's policy for a client."""
    return Policy.objects.filter(client=client).first()


def policy_lines(client: Client) -> list[Line]:
    """Return every value that holds for a client, with where it comes from, in one query."""
    rows = {row.client_id: row for row in Policy.objects.filter(company=client.company_id)}
    own, company = rows.get(client.pk), rows.get(None)
    usual = PolicyInForce()
    without = usual.overridden_by(company)
    force = without.overridden_by(own)
    return [
        Line(
            name=name,
            label=POLICY_FIELD[name].label,
            value=getattr(force, name),
            own=getattr(own, name, None),
            without=getattr(without, name),
            source=_source(name, own, company),
        )
        for name in FIELDS
    ]


def _source(name: str, own: Policy | None, company: Policy | None) -> str:
    if getattr(own, name, None) is not None:
        return OWN
    return COMPANY if getattr(company, name, None) is not None else USUAL
