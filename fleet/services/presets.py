"""A company's kinds of zones: put there to begin with, then its own to change."""

from dataclasses import asdict
from typing import Any

from django.db import transaction

from common.errors import Refused
from fleet.models import Company, User, ZonePreset
from fleet.models.set_up import KIND_FIELDS
from fleet.numerics.kinds import KINDS
from fleet.selectors.people import companies_set_up_by, require_set_up
from fleet.services.storing import remove, store

FIELDS = ("name", *KIND_FIELDS)


def begin_with_kinds(company: Company) -> int:
    """Give a company the usual kinds if it has none; return how many were added."""
    with transaction.atomic():
        Company.objects.select_for_update().get(pk=company.pk)  # two at once give them once
        if ZonePreset.objects.filter(company=company).exists():
            return 0
        for kind in KINDS:
            ZonePreset.objects.create(company=company, **asdict(kind))
    return len(KINDS)


@transaction.atomic
def set_up_preset(*, by: User, name: str, company: Company | None = None, **fields: Any) -> ZonePreset:
    """Store a new kind of zone; without a company, of the only one the person sets up for.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office.
    Refused
        If it isn't clear for which company, or there is a kind of this name.
    ValidationError
        If a value can't be.
    """
    mine = companies_set_up_by(by)
    if company is None and len(mine) > 1:
        raise Refused("You work for several companies; say for which.", field="company")
    owner = company.pk if company is not None else (mine[0] if mine else 0)
    require_set_up(by, owner)
    preset = ZonePreset(company_id=owner)
    store(preset, fields={"name": name, **fields}, may_set=FIELDS, once="name")
    return preset


@transaction.atomic
def edit_preset(*, preset: ZonePreset, by: User, **fields: Any) -> ZonePreset:
    """Write what is said about a kind; zones already set up from it stay as they are. Raises as above."""
    require_set_up(by, preset.company_id)
    store(preset, fields=fields, may_set=FIELDS, once="name")
    return preset


@transaction.atomic
def remove_preset(*, preset: ZonePreset, by: User) -> None:
    """Delete a kind; zones already set up from it stay."""
    require_set_up(by, preset.company_id)
    remove(preset)
