"""Facts from the garden."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import SiteCorrection, SiteRain, SoilObservation, ZoneCut, ZoneEpisode, ZoneTrim

BY_ZONE = ("zone__name", "zone__controller__name", "zone__controller__site__name")


@admin.register(SoilObservation)
class SoilObservationAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "date", "depletion_share", "how", "by")
    list_select_related = ("zone__controller__site__client", "by")
    list_filter = ("date",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")
    place = place_by("zone__controller__site")


@admin.register(ZoneTrim)
class ZoneTrimAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "factor", "reason", "effective_from", "by")
    list_select_related = ("zone__controller__site__client", "by")
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")
    place = place_by("zone__controller__site")


@admin.register(ZoneCut)
class ZoneCutAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "factor", "reason", "effective_from", "effective_to")
    list_select_related = ("zone__controller__site__client", "town")
    list_filter = ("effective_from",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "town")
    place = place_by("zone__controller__site")


@admin.register(ZoneEpisode)
class ZoneEpisodeAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "place", "kind", "effective_from", "effective_to", "permit")
    list_select_related = ("zone__controller__site__client",)
    list_filter = ("kind",)
    search_fields = BY_ZONE
    autocomplete_fields = ("zone", "by")
    place = place_by("zone__controller__site")


@admin.register(SiteRain)
class SiteRainAdmin(TenantAdmin, KeptAdmin):
    list_display = ("site", "place", "date", "rain_mm", "how", "by")
    list_select_related = ("site__client", "by")
    list_filter = ("how", "date")
    search_fields = ("site__name", "site__client__name")
    autocomplete_fields = ("site", "by")
    place = place_by("site")


@admin.register(SiteCorrection)
class SiteCorrectionAdmin(TenantAdmin, KeptAdmin):
    list_display = ("site", "place", "factor", "reason", "effective_from", "by")
    list_select_related = ("site__client", "by")
    search_fields = ("site__name", "site__client__name")
    autocomplete_fields = ("site", "by")
    place = place_by("site")
