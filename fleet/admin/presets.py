"""Kinds of zones."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.models import ZonePreset


@admin.register(ZonePreset)
class ZonePresetAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "plant", "head", "soil")
    list_select_related = ("company",)
    list_filter = ("plant", "head", "soil")
    search_fields = ("name", "company__name")
    autocomplete_fields = ("company",)
