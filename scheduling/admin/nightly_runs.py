"""Nightly runs: the whole, and each company's part."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from scheduling.admin.read_only import ReadOnlyAdmin, ReadOnlyRows
from scheduling.models import NightlyRun, NightlyRunCompany


class CompanyRows(ReadOnlyRows):
    model = NightlyRunCompany
    fields = ("company", "counts", "failures")

    def get_queryset(self, request: HttpRequest) -> Any:
        return super().get_queryset(request).select_related("company", "run")


@admin.register(NightlyRun)
class NightlyRunAdmin(ReadOnlyAdmin):
    list_display = ("date", "timezone", "state", "started_at", "finished_at")
    list_filter = ("state", "timezone")
    date_hierarchy = "date"
    search_fields = ("timezone",)
    inlines = (CompanyRows,)


@admin.register(NightlyRunCompany)
class NightlyRunCompanyAdmin(ReadOnlyAdmin):
    list_display = ("run", "company", "counts")
    list_select_related = ("run", "company")
    search_fields = ("company__name",)
