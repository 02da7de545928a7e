"""Cursor pages: the same answer shape for every list, stable while rows come and go."""

import re
from typing import Any

from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.pagination import Cursor, CursorPagination
from rest_framework.request import Request

BIGINT = re.compile(r"-?[0-9]{1,18}")


class CursorPages(CursorPagination):
    """``{next, previous, results}``, newest first unless a view says otherwise.

    Every ordering is by whole numbers (ids), so that a cursor holding anything else is known to be made up.
    """

    ordering = "-id"
    page_size = 100
    page_size_query_param = "page_size"
    max_page_size = 500

    def get_page_size(self, request: Request) -> int:
        said = request.query_params.get(self.page_size_query_param)
        if said is None:
            return self.page_size
        if not BIGINT.fullmatch(said) or int(said) < 1:
            raise ValidationError({self.page_size_query_param: ["Write a whole number from 1 on."]})
        return min(int(said), self.max_page_size)

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        parameters: list[dict[str, Any]] = super().get_schema_operation_parameters(view)
        for parameter in parameters:
            if parameter["name"] == self.page_size_query_param:
                parameter["schema"] = {"type": "integer", "minimum": 1, "default": self.page_size}
                parameter["description"] = f"Rows a page; at most {self.max_page_size} are given."
        return parameters

    def decode_cursor(self, request: Request) -> Cursor | None:
        made_up = ValidationError(
            {"cursor": ["This is not a cursor of this list; take it from next or previous."]}
        )
        try:
            cursor: Any = super().decode_cursor(request)
        except NotFound:
            raise made_up from None
        if cursor and cursor.position is not None and not BIGINT.fullmatch(cursor.position):
            raise made_up
        return cursor
