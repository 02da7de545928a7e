"""Sites and the water they are watered with."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.admin.rows import Rows
from fleet.models import Site, WaterSource


class WaterSourceRows(Rows):
    model = WaterSource


@admin.register(Site)
class SiteAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "client", "company", "season", "timezone", "balance_from")
    list_select_related = ("client__company",)
    list_filter = ("season", "timezone")
    search_fields = ("name", "address", "client__name", "client__company__name")
    autocomplete_fields = ("client", "cell", "watering_rule", "town", "tariff")
    inlines = (WaterSourceRows,)

    @admin.display(ordering="client__company__name")
    def company(self, site: Site) -> str:
        return site.client.company.name


@admin.register(WaterSource)
class WaterSourceAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "place", "kind", "flow_l_min")
    list_select_related = ("site__client",)
    list_filter = ("kind",)
    search_fields = ("name", "site__name", "site__client__name")
    autocomplete_fields = ("site",)
    place = place_by("site")
