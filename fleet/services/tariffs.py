"""Writing prices of water from outside the pages; each save is kept as those of the pages are."""

from typing import Any

from django.core.exceptions import ValidationError

from common.errors import Refused
from fleet.models import Company, Tariff, User
from fleet.models.tariffs import tiers_of
from fleet.services.edits import add_row, change_row, drop_row
from fleet.services.rules import company_meant


def set_up_tariff(*, by: User, company: Company | None = None, **fields: Any) -> Tariff:
    """Store a new price of a company; without one, of the only company the person sets prices up for.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If it isn't clear for which company, or a value can't be taken.
    """
    company_id = company_meant(by, company)
    return add_row(row=Tariff(company_id=company_id, **_kept(fields)), by=by, company_id=company_id)


def edit_tariff(*, tariff: Tariff, by: User, **fields: Any) -> Tariff:
    """Write what is said about a price; raises as ``set_up_tariff``."""
    if "company" in fields:
        raise Refused("This stays as it is.", field="company")
    said = _kept(fields)
    change_row(row=tariff, by=by, company_id=tariff.company_id, decide=lambda now: said)
    tariff.refresh_from_db()
    return tariff


def remove_tariff(*, tariff: Tariff, by: User) -> None:
    """Delete a price no site uses; Refused otherwise."""
    drop_row(row=tariff, by=by, company_id=tariff.company_id)


def _kept(fields: dict[str, Any]) -> dict[str, Any]:
    """Return fields with tiers in order, as they are stored."""
    if "tiers" not in fields:
        return fields
    try:
        return {**fields, "tiers": [tier.kept() for tier in tiers_of(fields["tiers"])]}
    except ValidationError as error:
        raise Refused(error.messages[0], field="tiers") from error
