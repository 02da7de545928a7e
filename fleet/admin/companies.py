"""Companies, their people, and what the service may do by itself for them."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.rows import Rows
from fleet.models import Company, Membership, Policy


class MembershipRows(Rows):
    model = Membership
    autocomplete_fields = ("user",)
    other_end = ("user",)


@admin.register(Company)
class CompanyAdmin(KeptAdmin):
    list_display = ("name", "units", "currency")
    list_filter = ("units", "currency")
    search_fields = ("name",)
    inlines = (MembershipRows,)


@admin.register(Membership)
class MembershipAdmin(TenantAdmin, KeptAdmin):
    list_display = ("user", "company", "role")
    list_select_related = ("user", "company")
    list_filter = ("role",)
    search_fields = ("user__email", "user__name", "company__name")
    autocomplete_fields = ("user", "company")


@admin.register(Policy)
class PolicyAdmin(TenantAdmin, KeptAdmin):
    list_display = ("company", "client", "auto_skips", "auto_move_points", "percent_min", "percent_max")
    list_select_related = ("company", "client")
    list_filter = ("auto_skips",)
    search_fields = ("company__name", "client__name")
    autocomplete_fields = ("company", "client")
