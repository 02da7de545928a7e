"""The back office's view of the monthly totals: to look at, not to change."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from fleet.admin.place import place_by
from reports.models import ProgramMonth


@admin.register(ProgramMonth)
class ProgramMonths(TenantAdmin, ReadOnlyAdmin):
    list_display = ("controller", "place", "letter", "month", "through", "applied_l", "found_l", "monthly_l")
    list_filter = ("month",)
    list_select_related = ("controller__site__client",)
    search_fields = ("controller__name", "controller__site__name", "controller__site__client__name")
    place = place_by("controller__site")
