"""The back office's view of the monthly totals: to look at, not to change."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from reports.models import ProgramMonth


@admin.register(ProgramMonth)
class ProgramMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("controller", "letter", "month", "through", "applied_l", "found_l", "monthly_l")
    list_filter = ("month",)
    list_select_related = ("controller",)
    search_fields = ("controller__name", "controller__site__name", "controller__site__client__name")
