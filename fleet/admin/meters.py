"""Water meters and what they showed."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.models import Meter, MeterBill, MeterHour, MeterReading

BY_METER = ("meter__name", "meter__site__name", "meter__site__client__name")


@admin.register(Meter)
class MeterAdmin(TenantAdmin, KeptAdmin):
    list_display = ("name", "place", "unit", "mixed", "rolls_over_at", "serial_number")
    list_select_related = ("site__client",)
    list_filter = ("unit", "mixed")
    search_fields = ("name", "serial_number", "site__name", "site__client__name")
    autocomplete_fields = ("site", "source", "zones")
    place = place_by("site")


@admin.register(MeterReading)
class MeterReadingAdmin(TenantAdmin, KeptAdmin):
    list_display = ("meter", "place", "read_at", "value", "how", "reset", "by")
    list_select_related = ("meter__site__client", "by")
    list_filter = ("how", "reset", "read_at")
    search_fields = BY_METER
    autocomplete_fields = ("meter", "by")
    place = place_by("meter__site")


@admin.register(MeterBill)
class MeterBillAdmin(TenantAdmin, KeptAdmin):
    list_display = ("meter", "place", "first", "last", "used", "charged", "by")
    list_select_related = ("meter__site__client", "by")
    list_filter = ("last",)
    search_fields = BY_METER
    autocomplete_fields = ("meter", "by")
    place = place_by("meter__site")


@admin.register(MeterHour)
class MeterHourAdmin(ReadOnlyAdmin, TenantAdmin):
    list_display = ("meter", "place", "begins_at", "minutes", "used_l")
    list_select_related = ("meter__site__client",)
    list_filter = ("begins_at",)
    search_fields = BY_METER
    place = place_by("meter__site")
