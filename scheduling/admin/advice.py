"""Advice, as it was last computed; nothing is changed here."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from scheduling.models import Advice


@admin.register(Advice)
class AdviceAdmin(ReadOnlyAdmin, TenantAdmin):
    list_display = (
        "kind",
        "controller",
        "zone",
        "litres_week",
        "litres_year",
        "risk",
        "found_on",
        "dismissed_at",
    )
    list_select_related = ("controller", "zone")
    list_filter = ("kind", "risk")
    search_fields = ("controller__name", "controller__site__name", "words")
