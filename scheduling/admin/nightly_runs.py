"""Nightly runs: the whole, and each company's part."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from common.back_office.confirm import Asked, ask, counted
from common.back_office.read_only import ReadOnlyAdmin, ReadOnlyRows
from common.errors import Refused
from fleet.admin.by_company import ByCompany, TenantAdmin
from fleet.models import Company, Site
from scheduling.models import NightlyRun, NightlyRunCompany
from scheduling.tasks import night


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
    list_display = ("run", "company", "told")
    list_select_related = ("run", "company")
    search_fields = ("company__name", "run__timezone")
    actions = ("run_again",)

    @admin.display(description="what it came to")
    def told(self, part: NightlyRunCompany) -> str:
        return ", ".join(f"{n} {name.replace('_', ' ')}" for name, n in part.counts.items() if n) or "nothing"

    def has_run_permission(self, request: HttpRequest) -> bool:
        """Tell whether this person may have a night run."""
        return request.user.has_perm("scheduling.change_nightlyrun")

    @admin.action(description="Run tonight again for the chosen companies", permissions=("run",))
    def run_again(self, request: HttpRequest, queryset: QuerySet[NightlyRunCompany]) -> HttpResponse | None:
        return ask(self, request, queryset, asked=_again, do=_run)


def _again(parts: list[NightlyRunCompany]) -> Asked:
    zones = _timezones(parts)
    here = {part.company_id for part in parts}
    others = Company.objects.filter(clients__sites__timezone__in=zones).exclude(pk__in=here).distinct()
    return Asked(
        question="Run tonight again for these companies?",
        tells=(
            f"The night of today is run again in {', '.join(zones) or 'no time zone: they have no sites'}.",
            f"{counted(others.count(), 'other company has', 'other companies have')} sites there; "
            "where nothing has changed, nothing changes.",
            "Waiting changes may be replaced or withdrawn. What people decided stays.",
        ),
        button="Run again",
    )


def _run(parts: list[NightlyRunCompany]) -> str:
    zones = _timezones(parts)
    if not zones:
        raise Refused("These companies have no sites.")
    for zone in zones:
        night.delay(zone)
    return f"Tonight was run again in {', '.join(zones)}; how it went stands under nightly runs."


def _timezones(parts: list[NightlyRunCompany]) -> list[str]:
    sites = Site.objects.filter(client__company__in={part.company_id for part in parts})
    return sorted(set(sites.values_list("timezone", flat=True)))
