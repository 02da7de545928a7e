"""Weather as the office's administrator sees it: mostly to read; a day may be corrected by hand."""

from django.contrib import admin
from django.db.models import Model
from django.http import HttpRequest

from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay, SourceUsage, WeatherCell


class ReadOnly(admin.ModelAdmin):
    """Rows the service writes itself: to look at, not to touch."""

    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


@admin.register(WeatherCell)
class WeatherCellAdmin(ReadOnly):
    list_display = ("id", "latitude", "longitude", "elevation_m", "timezone", "source_elevation_m")
    list_filter = ("timezone",)
    search_fields = ("=id", "timezone")


@admin.register(ObservedDay)
class ObservedDayAdmin(admin.ModelAdmin):
    list_display = (
        "date",
        "cell",
        "t_min_c",
        "t_max_c",
        "rain_mm",
        "reference_et_mm",
        "et_method",
        "quality",
        "source",
        "flags",
    )
    list_filter = ("quality", "source", "et_method", "cell__timezone")
    list_select_related = ("cell",)
    search_fields = ("=cell__id", "=date")
    date_hierarchy = "date"
    raw_id_fields = ("cell",)
    readonly_fields = ("fetched_at",)
    list_per_page = 50
    show_full_result_count = False


@admin.register(ForecastDay)
class ForecastDayAdmin(ReadOnly):
    list_display = (
        "date",
        "issued_at",
        "cell",
        "t_min_c",
        "t_max_c",
        "rain_mm",
        "rain_probability",
        "reference_et_mm",
        "quality",
        "source",
    )
    list_filter = ("quality", "source", "cell__timezone")
    list_select_related = ("cell",)
    search_fields = ("=cell__id", "=date")
    date_hierarchy = "date"


@admin.register(MonthlyNormal)
class MonthlyNormalAdmin(ReadOnly):
    list_display = ("cell", "month", "reference_et_mm", "rain_mm", "days_used")
    list_filter = ("month",)
    list_select_related = ("cell",)
    search_fields = ("=cell__id",)


@admin.register(FetchDay)
class FetchDayAdmin(ReadOnly):
    list_display = ("date", "cell", "state", "attempts", "next_attempt_at", "code", "message", "source")
    list_filter = ("state", "code", "source")
    list_select_related = ("cell",)
    search_fields = ("=cell__id", "=date", "code")
    date_hierarchy = "date"


@admin.register(SourceUsage)
class SourceUsageAdmin(ReadOnly):
    list_display = ("source", "window", "window_start", "weight")
    list_filter = ("source", "window")
    search_fields = ("source",)
