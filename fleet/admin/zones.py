"""Zones as surveyed."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import Zone


@admin.register(Zone)
class ZoneAdmin(TenantAdmin, KeptAdmin):
    list_display = ("number", "name", "controller", "place", "plant", "head", "soil", "area_m2")
    list_display_links = ("number", "name")
    list_select_related = ("controller__site__client",)
    list_filter = ("plant", "head", "soil", "sun")
    search_fields = ("name", "controller__name", "controller__site__name")
    autocomplete_fields = ("controller",)
    place = place_by("controller__site")
