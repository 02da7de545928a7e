"""Watering rules and prices of water."""

from django.contrib import admin

from fleet.models import Tariff, WateringRule


@admin.register(WateringRule)
class WateringRuleAdmin(admin.ModelAdmin):
    list_display = ("name", "company", "weekdays", "parity", "days_per_week", "hours_from", "hours_to")
    list_select_related = ("company",)
    list_filter = ("parity",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)


@admin.register(Tariff)
class TariffAdmin(admin.ModelAdmin):
    list_display = ("name", "company", "price_per_m3", "currency")
    list_select_related = ("company",)
    list_filter = ("currency",)
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)
