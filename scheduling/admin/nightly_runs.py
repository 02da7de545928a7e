"""Nightly runs: the whole, and each company's part."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from common.back_office.read_only import ReadOnlyAdmin, ReadOnlyRows
from fleet.admin.by_company import ByCompany, TenantAdmin
from scheduling.models import NightlyRun, NightlyRunCompany


class CompanyRows(ReadOnlyRows):
    model = NightlyRunCompany
    fields = ("company", "counts", "failures")

    def get_queryset(self, request: HttpRequest) -> Any:
        return super().get_queryset(request).select_related("company", "run")


class NightsOfCompany(ByCompany):
    def of_company(self, rows: Any, company_id: int) -> QuerySet[Any]:
        kept: QuerySet[Any] = rows.filter(companies__company=company_id)
        return kept


@admin.register(NightlyRun)
class NightlyRunAdmin(ReadOnlyAdmin):
    list_display = ("date", "timezone", "state", "started_at", "finished_at")
    list_filter = (NightsOfCompany, "state", "timezone")
    date_hierarchy = "date"
    search_fields = ("timezone",)
    inlines = (CompanyRows,)


@admin.register(NightlyRunCompany)
class NightlyRunCompanyAdmin(TenantAdmin, ReadOnlyAdmin):
    list_display = ("run", "company", "counts")
    list_select_related = ("run", "company")
    search_fields = ("company__name",)
