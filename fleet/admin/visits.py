"""Visits and what was found."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import Finding, Visit


@admin.register(Visit)
class VisitAdmin(TenantAdmin, KeptAdmin):
    list_display = ("site", "place", "kind", "date", "done_at")
    list_select_related = ("site__client",)
    list_filter = ("kind", ("done_at", admin.EmptyFieldListFilter), "date")
    search_fields = ("site__name", "site__client__name")
    autocomplete_fields = ("site",)
    place = place_by("site")


@admin.register(Finding)
class FindingAdmin(TenantAdmin, KeptAdmin):
    list_display = ("part", "zone", "place", "found_on", "lost_l_day", "status")
    list_select_related = ("zone__controller__site__client",)
    list_filter = ("status",)
    search_fields = ("part", "zone__name", "zone__controller__site__name")
    autocomplete_fields = ("zone",)
    place = place_by("zone__controller__site")
