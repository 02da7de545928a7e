"""Letters as they were sent; nothing is changed here."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from fleet.models import Letter


@admin.register(Letter)
class LetterAdmin(ReadOnlyAdmin, TenantAdmin):
    list_display = ("subject", "to", "company", "kind", "state", "not_before", "sent_at")
    list_select_related = ("company",)
    list_filter = ("state", "kind")
    search_fields = ("to", "subject", "client__name", "company__name")
