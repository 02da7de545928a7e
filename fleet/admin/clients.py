"""Clients and who may read their sites."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.rows import Rows
from fleet.models import Client, ClientAccess


class ClientAccessRows(Rows):
    model = ClientAccess
    autocomplete_fields = ("user",)
    other_end = ("user",)


@admin.register(Client)
class ClientAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "company", "access_from", "email")
    list_select_related = ("company",)
    list_filter = (("access_from", admin.EmptyFieldListFilter),)
    search_fields = ("name", "email", "company__name")
    autocomplete_fields = ("company",)
    inlines = (ClientAccessRows,)


@admin.register(ClientAccess)
class ClientAccessAdmin(TenantAdmin, KeptAdmin):
    list_display = ("user", "client", "company", "access_from")
    list_select_related = ("user", "client__company")
    search_fields = ("user__email", "user__name", "client__name")
    autocomplete_fields = ("user", "client")

    @admin.display(ordering="client__company__name")
    def company(self, access: ClientAccess) -> str:
        return access.client.company.name

    @admin.display(ordering="client__access_from", description="access open from")
    def access_from(self, access: ClientAccess) -> object:
        return access.client.access_from
