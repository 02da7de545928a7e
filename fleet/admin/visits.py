"""Visits and what was found."""

from typing import Any

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import CanAudit, Finding, Photo, Visit, ZoneRound, ZoneTest

BY_ZONE = ("zone__name", "zone__controller__name", "zone__controller__site__name")


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


@admin.register(ZoneRound)
class ZoneRoundAdmin(TenantAdmin, KeptAdmin):
    list_display = ("site", "place", "controller", "kind", "began_on", "done_on", "by")
    list_select_related = ("site__client", "controller", "by")
    list_filter = ("kind", ("done_on", admin.EmptyFieldListFilter))
    search_fields = ("site__name", "site__client__name")
    autocomplete_fields = ("site", "controller", "by")
    place = place_by("site")


@admin.register(ZoneTest)
class ZoneTestAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "date", "flow_l_min", "pressure_kpa", "by")
    list_select_related = ("zone__controller__site__client", "by")
    list_filter = ("date",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "round", "by")
    place = place_by("zone__controller__site")


@admin.register(CanAudit)
class CanAuditAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "date", "minutes", "by")
    list_select_related = ("zone__controller__site__client", "by")
    list_filter = ("date",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")
    place = place_by("zone__controller__site")


@admin.register(Photo)
class PhotoAdmin(TenantAdmin, KeptAdmin):
    """Photos come from the garden; here one is only removed, and its files with it."""

    list_display = ("zone", "place", "test", "finding", "by", "at")
    list_select_related = ("zone__controller__site__client", "test__zone", "finding__zone", "by")
    list_filter = ("at",)
    search_fields = BY_ZONE
    place = place_by("zone__controller__site")

    def has_add_permission(self, request: Any) -> bool:
        return False

    def has_change_permission(self, request: Any, obj: Any = None) -> bool:
        return False
