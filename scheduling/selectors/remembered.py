"""Figures of a whole fleet, remembered until a row they were made from changes.

What a company runs tonight is made from every run of every program: too much for each opening of a page, and
the same until somebody enters something. Rows are known to be unchanged by the newest number of each of their
tables and of their earlier rows; what a bulk change in the database left no trace of is seen after a while.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from django.core.cache import cache
from django.db.models import Subquery

from fleet.models import Company, Controller, Site, Town, WateringRule
from scheduling.models import Program, Setting, Skip, ZoneRun

T = TypeVar("T")
NOT_LONGER_THAN_S = 120
MADE_FROM: tuple[Any, ...] = (Program, ZoneRun, Setting, Skip, Controller, Site, Town, WateringRule)


def remembered(name: str, company_id: int, make: Callable[[], T]) -> T:
    """Return what ``make`` returns, or what it returned while the same rows were there.

    Parameters
    ----------
    name
        What is remembered, with all it depends on but rows: a night, say.
    company_id
        Whose rows it is made from.
    make
        Makes it; what it returns must not be changed.
    """
    key = f"remembered:{name}:{company_id}:{_newest(company_id)}"
    found: T | None = cache.get(key)
    if found is None:
        found = make()
        cache.set(key, found, NOT_LONGER_THAN_S)
    return found


def _newest(company_id: int) -> str:
    """Return the newest numbers of the tables, in one query."""
    columns: dict[str, Any] = {}
    for n, model in enumerate(MADE_FROM):
        columns[f"row_{n}"] = _last(model._base_manager, "pk")
        columns[f"earlier_{n}"] = _last(model.history.model._base_manager, "history_id")
    numbers = Company.objects.filter(pk=company_id).annotate(**columns).values_list(*columns)
    return "-".join(str(number or 0) for row in numbers for number in row)


def _last(rows: Any, column: str) -> Subquery:
    return Subquery(rows.order_by(f"-{column}").values(column)[:1])
