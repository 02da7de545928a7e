"""One figure of the rows that hang on each row of a query."""

from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

COUNT = Count("pk")


def counted(rows: QuerySet[Any], path: str, *, by: Any = COUNT, empty: int | None = 0) -> Any:
    """Return a figure of the rows at each outer row, reckoned by itself: joined together they would multiply.

    ``path`` leads from the rows to the outer row; ``empty`` is told where there are none.
    """
    own = rows.filter(**{path: OuterRef("pk")}).order_by().values(path).annotate(figure=by).values("figure")
    return Subquery(own) if empty is None else Coalesce(Subquery(own), Value(empty))
