"""Watering rules, towns and prices of water."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.models import Tariff, Town, WateringRule


@admin.register(WateringRule)
class WateringRuleAdmin(TenantAdmin, KeptAdmin):
    list_display = (
        "name",
        "company",
        "town",
        "stage",
        "weekdays",
        "parity",
        "days_per_week",
        "hours_from",
        "hours_to",
    )
    list_select_related = ("company", "town")
    list_filter = ("parity", "stage")
    search_fields = ("name", "company__name", "town__name")
    autocomplete_fields = ("company", "town")


@admin.register(Town)
class TownAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "stage", "stage_from", "stage_before")
    list_select_related = ("company",)
    list_filter = ("stage",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)


@admin.register(Tariff)
class TariffAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "price_per_m3", "currency", "unit", "period")
    list_select_related = ("company",)
    list_filter = ("currency",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)
