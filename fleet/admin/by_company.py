"""Narrowing any list to one company."""

from typing import Any

from django.contrib import admin
from django.contrib.admin.options import IncorrectLookupParameters
from django.db.models import QuerySet
from django.http import HttpRequest

from fleet.models import Company


class ByCompany(admin.SimpleListFilter):
    """Rows of one company, by the path each model declares."""

    title = "company"
    parameter_name = "company"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, str]]:
        return [(str(pk), name) for pk, name in Company.objects.order_by("name").values_list("pk", "name")]

    def queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> QuerySet[Any]:
        value = self.value()
        if not value:
            return queryset
        if not value.isdecimal() or len(value) > 18:
            raise IncorrectLookupParameters("This company has no such number.")
        return self.of_company(queryset, int(value))

    def of_company(self, rows: Any, company_id: int) -> QuerySet[Any]:
        """Keep one company's rows."""
        kept: QuerySet[Any] = rows.of_company(company_id)
        return kept


class TenantAdmin(admin.ModelAdmin):
    """The page of a model that belongs to a company."""

    def get_list_filter(self, request: HttpRequest) -> Any:
        return [ByCompany, *super().get_list_filter(request)]
