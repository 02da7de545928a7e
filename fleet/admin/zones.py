"""Zones as surveyed."""

from django.contrib import admin

from fleet.models import Zone


@admin.register(Zone)
class ZoneAdmin(admin.ModelAdmin):
    list_display = ("number", "name", "controller", "site", "plant", "head", "soil", "area_m2")
    list_display_links = ("number", "name")
    list_select_related = ("controller__site",)
    list_filter = ("plant", "head", "soil", "sun")
    search_fields = ("name", "controller__name", "controller__site__name")
    autocomplete_fields = ("controller",)
    show_full_result_count = False

    @admin.display(ordering="controller__site__name")
    def site(self, zone: Zone) -> str:
        return zone.controller.site.name
