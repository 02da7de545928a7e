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
