"""The back office's view of what is kept of reports: totals and baselines to look at, the rest to edit."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from reports.models import (
    MeterBaseline,
    MeterMonth,
    NonRoutineChange,
    ProgramMonth,
    SiteMonth,
    Summary,
    SummaryStop,
    UseAlert,
)


@admin.register(ProgramMonth)
class ProgramMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("controller", "place", "letter", "month", "through", "applied_l", "found_l", "monthly_l")
    list_filter = ("month",)
    list_select_related = ("controller__site__client",)
    search_fields = ("controller__name", "controller__site__name", "controller__site__client__name")
    place = place_by("controller__site")


@admin.register(SiteMonth)
class SiteMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("site", "place", "month", "through", "budget_l", "metered_l", "metered_days")
    list_filter = ("month",)
    list_select_related = ("site__client",)
    search_fields = ("site__name", "site__client__name")
    place = place_by("site")


@admin.register(MeterMonth)
class MeterMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("meter", "place", "month", "baseline_l", "used_l")
    list_filter = ("month",)
    list_select_related = ("meter__site__client",)
    search_fields = ("meter__name", "meter__site__name", "meter__site__client__name")
    place = place_by("meter__site")


@admin.register(Summary)
class SummaryAdmin(ReadOnlyAdmin, TenantAdmin, KeptAdmin):
    list_display = ("client", "month", "state", "made_at", "approved_at", "approved_by")
    list_select_related = ("client", "approved_by")
    list_filter = ("month", "state")
    search_fields = ("client__name", "client__company__name")


@admin.register(SummaryStop)
class SummaryStopAdmin(TenantAdmin, KeptAdmin):
    list_display = ("client", "reason", "by", "since")
    list_select_related = ("client", "by")
    search_fields = ("client__name", "reason")
    autocomplete_fields = ("client", "by")


@admin.register(MeterBaseline)
class MeterBaselines(TenantAdmin, ReadOnlyAdmin):
    list_display = ("meter", "place", "first", "last", "fitted_at", "by", "refused", "replaced_at")
    list_filter = ("fitted_at",)
    list_select_related = ("meter__site__client", "by")
    search_fields = ("meter__name", "meter__site__name", "meter__site__client__name")
    place = place_by("meter__site")


@admin.register(NonRoutineChange)
class NonRoutineChangeAdmin(TenantAdmin, KeptAdmin):
    list_display = ("meter", "place", "kind", "first", "last", "litres_day", "reason", "by")
    list_filter = ("kind",)
    list_select_related = ("meter__site__client", "by")
    search_fields = ("meter__name", "meter__site__name", "meter__site__client__name", "reason")
    autocomplete_fields = ("meter", "by")
    place = place_by("meter__site")


@admin.register(UseAlert)
class UseAlerts(TenantAdmin, ReadOnlyAdmin):
    list_display = ("meter", "place", "kind", "zone", "first", "last", "litres", "found_on", "dismissed_why")
    list_filter = ("kind", "found_on")
    list_select_related = ("meter__site__client", "zone")
    search_fields = ("meter__name", "meter__site__name", "meter__site__client__name")
    place = place_by("meter__site")
