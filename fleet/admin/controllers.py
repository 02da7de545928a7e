"""Controllers."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import Controller


@admin.register(Controller)
class ControllerAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "place", "serial_number", "percent_scope", "percent_max", "delivery")
    list_select_related = ("site__client",)
    list_filter = ("delivery", "percent_scope", "cycle_and_soak")
    search_fields = ("name", "serial_number", "site__name", "site__client__name")
    autocomplete_fields = ("site", "source")
    place = place_by("site")
