"""Companies, their people, and what the service may do by itself for them."""

from django.contrib import admin

from fleet.models import Company, Membership, Policy


class MembershipRows(admin.TabularInline):
    model = Membership
    extra = 0
    autocomplete_fields = ("user",)


@admin.register(Company)
class CompanyAdmin(admin.ModelAdmin):
    list_display = ("name", "units", "currency")
    search_fields = ("name",)
    inlines = (MembershipRows,)


@admin.register(Policy)
class PolicyAdmin(admin.ModelAdmin):
    list_display = ("company", "client", "auto_skips", "auto_move_points", "percent_min", "percent_max")
    list_select_related = ("company", "client")
    list_filter = ("auto_skips",)
    search_fields = ("company__name", "client__name")
    autocomplete_fields = ("company", "client")
