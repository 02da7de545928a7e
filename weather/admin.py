"""Weather as the office's administrator sees it: mostly to read; a day may be corrected by hand."""

from django.contrib import admin

from common.back_office.read_only import ReadOnlyAdmin
from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay, SourceUsage, WeatherCell


@admin.register(WeatherCell)
class WeatherCellAdmin(ReadOnlyAdmin):
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
class ForecastDayAdmin(ReadOnlyAdmin):
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
class MonthlyNormalAdmin(ReadOnlyAdmin):
    list_display = ("cell", "month", "reference_et_mm", "rain_mm", "days_used")
    list_filter = ("month",)
    list_select_related = ("cell",)
    search_fields = ("=cell__id",)


@admin.register(FetchDay)
class FetchDayAdmin(ReadOnlyAdmin):
    list_display = ("date", "cell", "state", "attempts", "next_attempt_at", "code", "message", "source")
    list_filter = ("state", "code", "source")
    list_select_related = ("cell",)
    search_fields = ("=cell__id", "=date", "code")
    date_hierarchy = "date"


@admin.register(SourceUsage)
class SourceUsageAdmin(ReadOnlyAdmin):
    list_display = ("source", "window", "window_start", "weight")
    list_filter = ("source", "window")
    search_fields = ("source",)
