"""The back office's view of the monthly totals: to look at, not to change."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from reports.models import ProgramMonth


@admin.register(ProgramMonth)
class ProgramMonths(admin.ModelAdmin):
    list_display = ("controller", "letter", "month", "through", "applied_l", "found_l", "monthly_l")
    list_filter = ("month",)
    list_select_related = ("controller",)
    search_fields = ("controller__name", "controller__site__name", "controller__site__client__name")

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
