"""Rows inside the page of the row they belong to."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest


class Rows(admin.TabularInline):
    """Rows whose other end stays as it is; more are added on a page of their own.

    A box to pick the other end would ask the database once for each row.
    """

    extra = 0
    show_change_link = True
    other_end: tuple[str, ...] = ()

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        return super().get_queryset(request).select_related(*self.other_end, self.parent)

    @property
    def parent(self) -> str:
        """Return the relation to the row whose page this is."""
        return next(f.name for f in self.opts.fields if f.related_model is self.parent_model)

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return super().get_readonly_fields(request, obj) if obj is None else self.other_end

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return obj is None and super().has_add_permission(request, obj)
