"""Pages of what is recorded and never edited by hand."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest


class ReadOnly:
    """Nothing is added, changed or deleted here: these rows are written by the service alone."""

    def has_add_permission(self, request: HttpRequest, *args: Any) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class ReadOnlyAdmin(ReadOnly, admin.ModelAdmin):
    """Rows that are recorded elsewhere."""

    show_full_result_count = False
    list_per_page = 50


class ReadOnlyRows(ReadOnly, admin.TabularInline):
    """The same, inside the page of the row they belong to."""

    extra = 0
