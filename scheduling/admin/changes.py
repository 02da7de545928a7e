"""Changes, their events and their way to the controller: to look at, for decisions belong to the people."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from common.back_office.read_only import ReadOnlyAdmin, ReadOnlyRows
from fleet.admin.by_company import TenantAdmin
from fleet.admin.place import place_by
from scheduling.models import Change, ChangeEvent, Delivery


class EventRows(ReadOnlyRows):
    model = ChangeEvent
    fields = ("at", "from_status", "to_status", "by", "value", "note")
    readonly_fields = ("at",)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        return super().get_queryset(request).select_related("by")


class DeliveryRows(ReadOnlyRows):
    model = Delivery
    fields = ("channel", "state", "attempts", "next_attempt_at", "note")


@admin.register(Change)
class ChangeAdmin(TenantAdmin, ReadOnlyAdmin):
    list_display = (
        "id",
        "program",
        "place",
        "kind",
        "status",
        "current",
        "proposed",
        "decided",
        "effective_from",
    )
    list_select_related = ("program__controller__site__client",)
    list_filter = ("status", "kind", "automatic", "effective_from")
    search_fields = (
        "program__name",
        "program__controller__name",
        "program__controller__site__name",
        "program__controller__site__client__name",
    )
    inlines = (EventRows, DeliveryRows)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        return super().get_queryset(request).defer("inputs")

    place = place_by("program__controller__site")


@admin.register(ChangeEvent)
class ChangeEventAdmin(TenantAdmin, ReadOnlyAdmin):
    list_display = ("at", "program", "place", "from_status", "to_status", "by", "value", "note")
    list_select_related = ("change__program__controller__site__client", "by")
    list_filter = ("to_status", "at")
    search_fields = ("note", "by__email", "change__program__controller__site__name")
    place = place_by("change__program__controller__site")

    @admin.display(ordering="change__program")
    def program(self, event: ChangeEvent) -> str:
        return str(event.change.program)


@admin.register(Delivery)
class DeliveryAdmin(TenantAdmin, ReadOnlyAdmin):
    list_display = ("id", "program", "place", "channel", "state", "attempts", "next_attempt_at")
    list_select_related = ("change__program__controller__site__client",)
    list_filter = ("state", "channel")
    search_fields = ("change__program__controller__name", "change__program__controller__site__name")
    place = place_by("change__program__controller__site")

    @admin.display(ordering="change__program")
    def program(self, delivery: Delivery) -> str:
        return str(delivery.change.program)
