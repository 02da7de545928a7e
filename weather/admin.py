"""Weather as the office's administrator sees it: mostly to read; a day may be corrected by hand."""

from datetime import timedelta

from django.conf import settings
from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from common import clock
from common.back_office.confirm import Asked, ask, counted
from common.back_office.read_only import ReadOnlyAdmin
from weather.models import (
    FetchDay,
    ForecastDay,
    MonthlyNormal,
    ObservedDay,
    Quality,
    SourceUsage,
    WeatherCell,
)
from weather.services.mornings import ANEW_DAYS
from weather.tasks import fetch_cells_anew


@admin.register(WeatherCell)
class WeatherCellAdmin(ReadOnlyAdmin):
    list_display = ("id", "latitude", "longitude", "elevation_m", "timezone", "source_elevation_m")
    list_filter = ("timezone",)
    search_fields = ("=id", "timezone")
    actions = ("fetch_again",)

    def has_fetch_permission(self, request: HttpRequest) -> bool:
        """Tell whether this person may have weather replaced."""
        return request.user.has_perm("weather.change_observedday")

    @admin.action(description="Fetch the weather of the chosen cells again", permissions=("fetch",))
    def fetch_again(self, request: HttpRequest, queryset: QuerySet[WeatherCell]) -> HttpResponse | None:
        return ask(self, request, queryset, asked=_anew, do=_fetch)


def _anew(cells: list[WeatherCell]) -> Asked:
    since = min(clock.today(cell.timezone) for cell in cells) - timedelta(days=ANEW_DAYS)
    by_hand = ObservedDay.objects.filter(cell__in=cells, date__gte=since, quality=Quality.STATION).count()
    return Asked(
        question="Fetch this weather again?",
        tells=(
            f"The last {ANEW_DAYS} days are asked of {settings.WEATHER_SOURCE} once more.",
            "What comes replaces what is here, also what was measured or entered by hand: "
            f"{counted(by_hand, 'day', 'days')}.",
            "Days that don't come stay as they are. The next night plans with what has come.",
        ),
        button="Fetch again",
    )


def _fetch(cells: list[WeatherCell]) -> str:
    fetch_cells_anew.delay([cell.pk for cell in cells])
    return f"The last {ANEW_DAYS} days were asked for again; how it went stands under fetch days."


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
    autocomplete_fields = ("cell",)
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
    list_filter = ("state", "code", "source", "date")
    list_select_related = ("cell",)
    search_fields = ("=cell__id", "=date", "code")


@admin.register(SourceUsage)
class SourceUsageAdmin(ReadOnlyAdmin):
    list_display = ("source", "window", "window_start", "weight")
    list_filter = ("source", "window")
    search_fields = ("source",)
