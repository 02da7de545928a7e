"""Sites and the water they are watered with."""

from django.contrib import admin

from fleet.models import Site, WaterSource


class WaterSourceRows(admin.TabularInline):
    model = WaterSource
    extra = 0


@admin.register(Site)
class SiteAdmin(admin.ModelAdmin):
    list_display = ("name", "client", "company", "season", "timezone", "balance_from")
    list_select_related = ("client__company",)
    list_filter = ("season", "timezone")
    search_fields = ("name", "address", "client__name", "client__company__name")
    autocomplete_fields = ("client", "watering_rule", "tariff")
    raw_id_fields = ("cell",)
    inlines = (WaterSourceRows,)

    @admin.display(ordering="client__company__name")
    def company(self, site: Site) -> str:
        return site.client.company.name


@admin.register(WaterSource)
class WaterSourceAdmin(admin.ModelAdmin):
    list_display = ("name", "site", "kind", "flow_l_min")
    list_select_related = ("site",)
    list_filter = ("kind",)
    search_fields = ("name", "site__name", "site__client__name")
    autocomplete_fields = ("site",)
