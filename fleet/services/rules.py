"""Writing watering rules and towns from outside the pages; each save is kept as those of the pages are."""

from typing import Any, TypeVar

from django.db import models

from common.errors import Refused
from fleet.models import Company, Town, User, WateringRule
from fleet.selectors.people import companies_set_up_by, require_set_up
from fleet.services.edits import add_row, change_row, drop_row

M = TypeVar("M", Town, WateringRule)


def set_up_rule(*, by: User, company: Company | None = None, **fields: Any) -> WateringRule:
    """Store a new rule of a company; without one, of the only company the person sets rules up for.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If it isn't clear for which company, or a value can't be taken.
    """
    company_id = company_meant(by, company)
    return add_row(row=WateringRule(company_id=company_id, **_keys(fields)), by=by, company_id=company_id)


def edit_rule(*, rule: WateringRule, by: User, **fields: Any) -> WateringRule:
    """Write what is said about a rule; raises as ``set_up_rule``."""
    return _edit(rule, by, fields)


def remove_rule(*, rule: WateringRule, by: User) -> None:
    """Delete a rule no site is under; Refused otherwise."""
    drop_row(row=rule, by=by, company_id=rule.company_id)


def set_up_town(*, by: User, company: Company | None = None, **fields: Any) -> Town:
    """Store a new town; raises as ``set_up_rule``."""
    company_id = company_meant(by, company)
    return add_row(row=Town(company_id=company_id, **fields), by=by, company_id=company_id)


def edit_town(*, town: Town, by: User, **fields: Any) -> Town:
    """Write a town's name; raises as ``set_up_rule``. Its stage is switched, not edited."""
    return _edit(town, by, fields)


def remove_town(*, town: Town, by: User) -> None:
    """Delete a town without sites and rules; Refused otherwise."""
    drop_row(row=town, by=by, company_id=town.company_id)


def _edit(row: M, by: User, fields: dict[str, Any]) -> M:
    if "company" in fields:
        raise Refused("This stays as it is.", field="company")
    said = _keys(fields)
    change_row(row=row, by=by, company_id=row.company_id, decide=lambda now: said)
    row.refresh_from_db()
    return row


def _keys(fields: dict[str, Any]) -> dict[str, Any]:
    """Return fields with rows as their numbers, as edits keep them."""
    return {
        f"{name}_id" if isinstance(value, models.Model) or name == "town" else name: getattr(
            value, "pk", value
        )
        for name, value in fields.items()
    }


def company_meant(by: User, company: Company | None) -> int:
    """Return the company a row is written for: the one named, or the only one somebody sets up for."""
    if company is not None:
        return company.pk
    mine = companies_set_up_by(by)
    if len(mine) > 1:
        raise Refused("You work for several companies; say for which.", field="company")
    require_set_up(by, mine[0] if mine else 0)
    return mine[0]
