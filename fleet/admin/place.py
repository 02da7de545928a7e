"""Where a row belongs, as a column: a controller's or a program's own name is seldom enough."""

from collections.abc import Callable
from functools import reduce
from typing import Any

from django.contrib import admin

Column = Callable[[Any, Any], str]


def place_by(path: str) -> Column:
    """Return a column with the client and the site ``path`` leads to; select both with the rows."""

    @admin.display(description="client › site", ordering=f"{path}__client__name")
    def place(self: Any, row: Any) -> str:
        site = reduce(getattr, path.split("__"), row)
        return f"{site.client} › {site}"

    return place
