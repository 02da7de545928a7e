"""Clients and who may read their sites."""

from django.contrib import admin

from fleet.models import Client, ClientAccess


class ClientAccessRows(admin.TabularInline):
    model = ClientAccess
    extra = 0
    autocomplete_fields = ("user",)


@admin.register(Client)
class ClientAdmin(admin.ModelAdmin):
    list_display = ("name", "company", "access_from", "email")
    list_select_related = ("company",)
    list_filter = (("access_from", admin.EmptyFieldListFilter),)
    search_fields = ("name", "email", "company__name")
    autocomplete_fields = ("company",)
    inlines = (ClientAccessRows,)
