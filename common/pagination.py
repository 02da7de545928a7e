"""Cursor pages: the same answer shape for every list, stable while rows come and go."""

from rest_framework.pagination import CursorPagination


class CursorPages(CursorPagination):
    """``{next, previous, results}``, newest first unless a view says otherwise."""

    ordering = "-id"
    page_size = 100
    page_size_query_param = "page_size"
    max_page_size = 500
