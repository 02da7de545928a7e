"""Programs, run times, percents in force and skips."""

from django.contrib import admin

from scheduling.models import Program, Setting, Skip, ZoneRun

BY_CONTROLLER = ("controller__name", "controller__site__name", "controller__site__client__name")
BY_PROGRAM = tuple(f"program__{name}" for name in ("name", *BY_CONTROLLER))


class ZoneRunRows(admin.TabularInline):
    model = ZoneRun
    extra = 0
    autocomplete_fields = ("zone",)


@admin.register(Program)
class ProgramAdmin(admin.ModelAdmin):
    list_display = ("letter", "name", "controller", "site", "days", "effective", "ended")
    list_display_links = ("letter", "name")
    list_select_related = ("controller__site",)
    list_filter = (("ended", admin.EmptyFieldListFilter),)
    search_fields = ("name", *BY_CONTROLLER)
    autocomplete_fields = ("controller",)
    inlines = (ZoneRunRows,)
    show_full_result_count = False

    @admin.display(ordering="controller__site__name")
    def site(self, program: Program) -> str:
        return program.controller.site.name


@admin.register(Setting)
class SettingAdmin(admin.ModelAdmin):
    list_display = ("program", "controller", "percent", "effective_from", "how")
    list_select_related = ("program__controller",)
    list_filter = ("how",)
    date_hierarchy = "effective_from"
    search_fields = BY_PROGRAM
    autocomplete_fields = ("program",)
    raw_id_fields = ("change",)
    show_full_result_count = False

    @admin.display(ordering="program__controller__name")
    def controller(self, setting: Setting) -> str:
        return setting.program.controller.name


@admin.register(Skip)
class SkipAdmin(admin.ModelAdmin):
    list_display = ("program", "controller", "effective_from", "effective_to", "reason")
    list_select_related = ("program__controller",)
    date_hierarchy = "effective_from"
    search_fields = BY_PROGRAM
    autocomplete_fields = ("program",)
    raw_id_fields = ("change",)
    show_full_result_count = False

    @admin.display(ordering="program__controller__name")
    def controller(self, skip: Skip) -> str:
        return skip.program.controller.name
