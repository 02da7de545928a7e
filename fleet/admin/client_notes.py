"""Notes from clients."""

from django.contrib import admin

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import ClientNote


@admin.register(ClientNote)
class ClientNoteAdmin(TenantAdmin, KeptAdmin):
    list_display = ("__str__", "place", "status", "dry_from", "dry_to", "by", "written_at")
    list_select_related = ("site__client", "by")
    list_filter = ("status", "written_at")
    search_fields = ("words", "site__name", "site__client__name")
    autocomplete_fields = ("site", "by", "answered_by")
    place = place_by("site")
