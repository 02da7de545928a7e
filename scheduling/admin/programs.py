"""Programs, run times, percents in force and skips."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from fleet.admin.by_company import TenantAdmin
from fleet.admin.kept import KeptAdmin
from fleet.admin.place import place_by
from fleet.admin.rows import Rows
from scheduling.models import Program, Setting, Skip, ZoneRun

BY_CONTROLLER = ("controller__name", "controller__site__name", "controller__site__client__name")
BY_PROGRAM = tuple(f"program__{name}" for name in ("name", *BY_CONTROLLER))


class Entered:
    """What was entered at a controller from a change is part of what happened: it is never deleted."""

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        if getattr(obj, "change_id", None) is not None or getattr(obj, "how", "") == Setting.How.CHANGE:
            return False
        may: bool = super().has_delete_permission(request, obj)  # type: ignore[misc]
        return may


class ZoneRunRows(Rows):
    model = ZoneRun
    autocomplete_fields = ("zone",)
    other_end = ("zone",)


@admin.register(Program)
class ProgramAdmin(TenantAdmin, KeptAdmin):
    list_display = ("letter", "name", "controller", "place", "days", "effective", "ended")
    list_display_links = ("letter", "name")
    list_select_related = ("controller__site__client",)
    list_filter = (("ended", admin.EmptyFieldListFilter),)
    search_fields = ("name", *BY_CONTROLLER)
    autocomplete_fields = ("controller",)
    inlines = (ZoneRunRows,)
    place = place_by("controller__site")


@admin.register(ZoneRun)
class ZoneRunAdmin(TenantAdmin, KeptAdmin):
    list_display = ("zone", "program", "controller", "place", "minutes", "cycle", "soak", "order")
    list_select_related = ("zone", "program__controller__site__client")
    search_fields = ("zone__name", *BY_PROGRAM)
    autocomplete_fields = ("program", "zone")
    place = place_by("program__controller__site")

    @admin.display(ordering="program__controller__name")
    def controller(self, run: ZoneRun) -> str:
        return run.program.controller.name


@admin.register(Setting)
class SettingAdmin(Entered, TenantAdmin, KeptAdmin):
    list_display = ("program", "controller", "place", "percent", "effective_from", "how")
    list_select_related = ("program__controller__site__client",)
    list_filter = ("how", "effective_from")
    search_fields = BY_PROGRAM
    autocomplete_fields = ("program",)
    raw_id_fields = ("change",)
    history_related = ("change__program",)
    place = place_by("program__controller__site")

    @admin.display(ordering="program__controller__name")
    def controller(self, setting: Setting) -> str:
        return setting.program.controller.name


@admin.register(Skip)
class SkipAdmin(Entered, TenantAdmin, KeptAdmin):
    list_display = ("program", "controller", "place", "effective_from", "effective_to", "reason")
    list_select_related = ("program__controller__site__client",)
    list_filter = ("effective_from",)
    search_fields = BY_PROGRAM
    autocomplete_fields = ("program",)
    raw_id_fields = ("change",)
    history_related = ("change__program",)
    place = place_by("program__controller__site")

    @admin.display(ordering="program__controller__name")
    def controller(self, skip: Skip) -> str:
        return skip.program.controller.name
