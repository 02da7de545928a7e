"""Zones as surveyed."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.models import Zone


@admin.register(Zone)
class ZoneAdmin(TenantAdmin, KeptAdmin):
    list_display = ("number", "name", "controller", "site", "plant", "head", "soil", "area_m2")
    list_display_links = ("number", "name")
    list_select_related = ("controller__site",)
    list_filter = ("plant", "head", "soil", "sun")
    search_fields = ("name", "controller__name", "controller__site__name")
    autocomplete_fields = ("controller",)

    @admin.display(ordering="controller__site__name")
    def site(self, zone: Zone) -> str:
        return zone.controller.site.name
