"""Who may see which rows: every tenant model names its path to its company, one query method uses it.

``company_path`` is the chain of relations from the model to ``Company`` ("" for Company itself, ``None`` for
rows that belong to no company, with the reason beside it). ``client_path`` is the chain to ``Client`` where a
client may read the row once access is open to them; without it clients see nothing of that model.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self, TypeVar

from django.db import models
from django.db.models import Q

from common import clock

if TYPE_CHECKING:
    from fleet.models import User

M = TypeVar("M", bound=models.Model)


def visible(model: type[models.Model], user: Any) -> Q:
    """Return the condition under which ``user`` may see rows of ``model``."""
    company_path: str | None = getattr(model, "company_path", None)
    client_path: str | None = getattr(model, "client_path", None)
    if not getattr(user, "is_authenticated", False) or company_path is None:
        return Q(pk__in=[])
    prefix = f"{company_path}__" if company_path else ""
    allowed = Q(**{f"{prefix}pk__in": user.company_ids()})
    if client_path is not None:
        chain = f"{client_path}__" if client_path else ""
        allowed |= Q(**{f"{chain}pk__in": user.open_client_ids()})
    return allowed


class TenantQuerySet(models.QuerySet[M]):
    """Rows that belong to a company."""

    def visible_to(self, user: User | Any) -> Self:
        """Keep only what ``user`` may see."""
        return self.filter(visible(self.model, user))

    def of_company(self, company_id: int) -> Self:
        """Keep only one company's rows."""
        path: str | None = getattr(self.model, "company_path", None)
        if path is None:
            raise TypeError(f"{self.model.__name__} belongs to no company")
        return self.filter(**{f"{path}__pk" if path else "pk": company_id})


class TenantModel(models.Model):
    """A row that belongs to a company, directly or through its relations."""

    company_path: str | None
    client_path: str | None = None

    objects = TenantQuerySet.as_manager()

    class Meta:
        abstract = True


def client_is_open(access_from: Any, timezone: str = "UTC") -> bool:
    """Tell whether a client's access has begun."""
    return access_from is not None and access_from <= clock.today(timezone)


def company_id_of(row: TenantModel) -> int:
    """Return the company a row belongs to."""
    *steps, last = (row.company_path or "pk").split("__")
    owner: Any = row
    for step in steps:
        owner = getattr(owner, step)
    return int(getattr(owner, "pk" if last == "pk" else f"{last}_id"))
