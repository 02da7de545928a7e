"""The back office's view of monthly totals, which are to look at, and of summaries."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from reports.models import ProgramMonth, Summary, SummaryStop


@admin.register(ProgramMonth)
class ProgramMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("controller", "place", "letter", "month", "through", "applied_l", "found_l", "monthly_l")
    list_filter = ("month",)
    list_select_related = ("controller__site__client",)
    search_fields = ("controller__name", "controller__site__name", "controller__site__client__name")
    place = place_by("controller__site")


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
