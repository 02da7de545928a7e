"""The policy that holds for a client: its own where it says something, else the company's, else defaults."""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace

from django.db.models import F

from fleet.models import Client, Policy


@dataclass(frozen=True)
class PolicyInForce:
    """What the service may do by itself and within which bounds."""

    auto_skips: bool = False
    auto_move_points: int = 0
    percent_min: int = 0
    percent_max: int = 500
    dead_band_points: int = 5
    uniformity_margin: float = 1.0
    visit_worth_l: float = 2000.0
    freeze_skip_below_c: float = 2.0
    wind_skip_above_m_s: float = 6.0

    def overridden_by(self, row: Policy | None) -> "PolicyInForce":
        """Return this policy with every field that ``row`` fills."""
        if row is None:
            return self
        filled = {f.name: getattr(row, f.name) for f in fields(self) if getattr(row, f.name) is not None}
        return replace(self, **filled)

    def in_order(self) -> "PolicyInForce":
        """Return this policy with a least percent that the greatest allows; two rows can disagree on it."""
        return replace(self, percent_min=min(self.percent_min, self.percent_max))


def policies_of(client_ids: Iterable[int]) -> dict[int, PolicyInForce]:
    """Return the policy in force for each client, in two queries."""
    companies = dict(Client.objects.filter(pk__in=list(client_ids)).values_list("pk", "company_id"))
    rows = Policy.objects.filter(company_id__in=set(companies.values())).order_by(
        F("client").asc(nulls_first=True)
    )
    of_company: dict[int, Policy] = {}
    of_client: dict[int, Policy] = {}
    for row in rows:
        if row.client_id is None:
            of_company[row.company_id] = row
        else:
            of_client[row.client_id] = row
    return {
        client: PolicyInForce()
        .overridden_by(of_company.get(company))
        .overridden_by(of_client.get(client))
        .in_order()
        for client, company in companies.items()
    }
