"""Saving what the settings pages edit: one at a time in a company, each save kept with what it replaced."""

from collections.abc import Callable
from datetime import date, time
from decimal import Decimal
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction

from common.errors import MovedOn, Refused
from fleet.models import Company, Policy, SettingEdit, Tariff, Town, User, WateringRule, ZonePreset
from fleet.selectors.people import require_decide
from fleet.services.holding import held

M = TypeVar("M", bound=models.Model)
Topic = SettingEdit.Topic
EDITED: dict[str, type[models.Model]] = {
    Topic.POLICY: Policy,
    Topic.COMPANY: Company,
    Topic.PRICE: Tariff,
    Topic.RULE: WateringRule,
    Topic.TOWN: Town,
    Topic.KIND: ZonePreset,
}


def written(value: Any) -> Any:
    """Return a value of a field as it is kept with an edit."""
    if isinstance(value, Decimal):
        return str(value.normalize())
    return value.isoformat() if isinstance(value, (date, time)) else value


def one_at_a_time(company_id: int) -> Company:
    """Hold a company's row until the transaction ends, so that two saves never pass each other."""
    return Company.objects.select_for_update().get(pk=company_id)


def change_row(
    *, row: M, by: User, company_id: int, decide: Callable[[M], dict[str, Any]]
) -> SettingEdit | None:
    """Save what ``decide`` says about a row as it is now, and keep what it replaced.

    ``decide`` is asked once nobody else can save any more; what it raises leaves everything as it was.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If a value can't be taken; ``field`` says which.
    Gone
        If somebody deleted the row meanwhile.
    """
    require_decide(by, company_id)
    with transaction.atomic():
        one_at_a_time(company_id)
        fresh = held(row)
        return _changed(fresh, decide(fresh), by=by, company_id=company_id)


def add_row(*, row: M, by: User, company_id: int) -> M:
    """Save a new row; one that is there already, the same in everything, is taken for it.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If a value can't be taken; ``field`` says which.
    """
    require_decide(by, company_id)
    with transaction.atomic():
        one_at_a_time(company_id)
        values = _values(row)
        same = type(row)._default_manager.filter(**values).first()
        if same is not None:
            return same
        _checked(row)
        row.save()
        after = {name: written(value) for name, value in values.items() if name != "company_id"}
        _keep(row, by=by, company_id=company_id, what="added", after=after)
    return row


def drop_row(*, row: models.Model, by: User, company_id: int) -> None:
    """Delete a row nothing hangs on; if it is gone already, so much the better.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    Refused
        If sites use it.
    """
    require_decide(by, company_id)
    with transaction.atomic():
        one_at_a_time(company_id)
        fresh: Any = type(row)._default_manager.filter(pk=row.pk).first()
        if fresh is None:
            return
        sites = getattr(fresh, "sites", None)  # a kind of zone hangs on nothing
        names = list(sites.order_by("name").values_list("name", flat=True)[:4]) if sites else []
        if names:
            more = " and others" if len(names) > 3 else ""
            raise Refused(f"Used at {', '.join(names[:3])}{more}. Nothing was deleted.", field="delete")
        _not_in_force(fresh)
        before = {name: written(v) for name, v in _values(fresh).items() if name != "company_id"}
        _keep(fresh, by=by, company_id=company_id, what="deleted", before=before)
        fresh.delete()


def _not_in_force(row: models.Model) -> None:
    if isinstance(row, Town) and row.rules.exists():
        raise Refused("It has rules. Nothing was deleted.", field="delete")
    if not isinstance(row, WateringRule) or row.town is None:
        return
    if row.stage in (row.town.stage, row.town.stage_before) and row.town.sites.exists():
        raise Refused(f"{row.town} is under this stage. Nothing was deleted.", field="delete")


def take_back(*, edit: SettingEdit, by: User) -> SettingEdit:
    """Put back what the newest edit of a row replaced.

    Raises
    ------
    NotAllowed
        If the person decides nothing in this company.
    MovedOn
        If it was taken back before, or something was saved after it.
    """
    require_decide(by, edit.company_id)
    with transaction.atomic():
        one_at_a_time(edit.company_id)
        newest = SettingEdit.objects.filter(company=edit.company_id, topic=edit.topic, row=edit.row).first()
        row = EDITED[edit.topic]._default_manager.filter(pk=edit.row).first()
        if newest is None or newest.pk != edit.pk or newest.undoes_id or row is None:
            raise MovedOn("Something was saved after that. Nothing was taken back.", current_status="saved")
        if any(written(getattr(row, name)) != value for name, value in edit.after.items()):
            raise MovedOn("It was changed elsewhere since. Nothing was taken back.", current_status="saved")
        fields: Any = row._meta
        values = {name: fields.get_field(name).to_python(old) for name, old in edit.before.items()}
        undone = _changed(row, values, by=by, company_id=edit.company_id, undoes=edit)
        assert undone is not None
        return undone


def _changed(
    row: models.Model, values: dict[str, Any], *, by: User, company_id: int, undoes: SettingEdit | None = None
) -> SettingEdit | None:
    before = {
        n: written(getattr(row, n)) for n, v in values.items() if written(getattr(row, n)) != written(v)
    }
    if not before:
        return None
    for name in before:
        setattr(row, name, values[name])
    _checked(row)
    row.save(update_fields=list(before))
    after = {name: written(values[name]) for name in before}
    return _keep(row, by=by, company_id=company_id, before=before, after=after, undoes=undoes)


def _keep(row: models.Model, *, by: User, company_id: int, **fields: Any) -> SettingEdit:
    topic = next(topic for topic, model in EDITED.items() if isinstance(row, model))
    about = "" if isinstance(row, (Policy, Company)) else str(row)
    return SettingEdit.objects.create(
        company_id=company_id, topic=topic, row=row.pk, about=about, by=by, **fields
    )


def _values(row: models.Model) -> dict[str, Any]:
    return {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields if not f.primary_key}


def _checked(row: models.Model) -> None:
    try:
        row.full_clean()
    except ValidationError as error:
        field, words = next(iter(error.message_dict.items()))
        if field == "__all__" and isinstance(row, (Tariff, Town, WateringRule)):
            raise Refused("There is one of this name already.", field="name") from error
        raise Refused(words[0], field="" if field == "__all__" else field) from error
