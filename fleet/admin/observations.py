"""Facts from the garden."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.models import SiteRain, SoilObservation, ZoneEpisode, ZoneTrim

BY_ZONE = ("zone__name", "zone__controller__name", "zone__controller__site__name")


@admin.register(SoilObservation)
class SoilObservationAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "date", "depletion_share", "how", "by")
    list_select_related = ("zone", "by")
    list_filter = ("date",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")


@admin.register(ZoneTrim)
class ZoneTrimAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "factor", "reason", "effective_from", "by")
    list_select_related = ("zone", "by")
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")


@admin.register(ZoneEpisode)
class ZoneEpisodeAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "kind", "effective_from", "effective_to", "permit")
    list_select_related = ("zone",)
    list_filter = ("kind",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone",)


@admin.register(SiteRain)
class SiteRainAdmin(TenantAdmin, KeptAdmin):
    list_display = ("site", "date", "rain_mm", "how", "by")
    list_select_related = ("site", "by")
    list_filter = ("how",)
    date_hierarchy = "date"
    search_fields = ("site__name", "site__client__name")
    autocomplete_fields = ("site", "by")
