"""Watering rules and prices of water."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.models import Tariff, WateringRule


@admin.register(WateringRule)
class WateringRuleAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "weekdays", "parity", "days_per_week", "hours_from", "hours_to")
    list_select_related = ("company",)
    list_filter = ("parity",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)


@admin.register(Tariff)
class TariffAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "price_per_m3", "currency")
    list_select_related = ("company",)
    list_filter = ("currency",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)
