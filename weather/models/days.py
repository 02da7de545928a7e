"""What the sky did and what it was said to do, per cell and local date."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from weather.models.cells import WeatherCell


class Quality(models.TextChoices):
    """How a day came to be known, best first; a day is never overwritten by a class below its own."""

    STATION = "station", "Measured at a station"
    ANALYSIS = "analysis", "Weather model's analysis"
    REANALYSIS = "reanalysis", "Reanalysis of the archive"
    FORECAST = "forecast", "Forecast"
    NORMAL = "normal", "Usual for the month"
    INVENTED = "invented", "Invented, for a demonstration"


def known_limits(table: str) -> list[models.BaseConstraint]:
    """Return the limits every daily row keeps; NULL is unknown and passes each of them."""
    return [
        models.CheckConstraint(condition=Q(t_min_c__lte=F("t_max_c")), name=f"{table}_min_not_over_max"),
        models.CheckConstraint(condition=Q(rain_mm__gte=0), name=f"{table}_rain_not_negative"),
        models.CheckConstraint(condition=Q(reference_et_mm__gte=0), name=f"{table}_et_not_negative"),
        models.CheckConstraint(condition=Q(quality__in=Quality.values), name=f"{table}_quality_known"),
    ]


class DailyWeather(models.Model):
    """The fields an observed and a forecast day have in common. Empty means unknown, never zero."""

    date = models.DateField(help_text="Local date in the cell's time zone.")
    t_min_c = models.FloatField(null=True, blank=True, help_text="Lowest air temperature at 2 m. [degC]")
    t_max_c = models.FloatField(null=True, blank=True, help_text="Highest air temperature at 2 m. [degC]")
    vapour_pressure_kpa = models.FloatField(null=True, blank=True, help_text="Actual, mean of the day. [kPa]")
    wind_2m_m_s = models.FloatField(null=True, blank=True, help_text="Mean of the day at 2 m. [m/s]")
    solar_radiation_mj_m2 = models.FloatField(null=True, blank=True, help_text="Sum of the day. [MJ/m2]")
    rain_mm = models.FloatField(null=True, blank=True, help_text="Sum of the day; empty is unknown. [mm]")
    reference_et_mm = models.FloatField(
        null=True, blank=True, help_text="Short reference (grass), computed here from the row's inputs. [mm]"
    )
    et_method = models.CharField(max_length=80, blank=True, default="", help_text="From which inputs.")
    source = models.CharField(max_length=40, blank=True, default="", help_text="Who said so.")
    quality = models.CharField(max_length=12, choices=Quality.choices, default=Quality.STATION)
    flags = models.JSONField(blank=True, default=list, help_text="What the checks found, in short words.")
    provider_et_mm = models.FloatField(
        null=True, blank=True, help_text="The source's own figure, kept as a check only. [mm]"
    )
    fetched_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True


class ObservedDay(DailyWeather):
    """A day that is over. A row entered by hand counts as measured unless it says otherwise."""

    company_path = None  # shared: the weather of a cell belongs to no company

    cell = models.ForeignKey(WeatherCell, on_delete=models.CASCADE, related_name="observed_days")

    class Meta:
        ordering = ["cell", "date"]
        constraints = [
            models.UniqueConstraint(fields=["cell", "date"], name="weather_observed_once"),
            *known_limits("weather_observed"),
        ]
        indexes = [models.Index(fields=["date"], name="weather_observed_date")]

    def __str__(self) -> str:
        return f"{self.date} observed"


class ForecastDay(DailyWeather):
    """A day as foreseen at ``issued_at``. Rows are kept: what a source has earned is read from them."""

    company_path = None  # shared: the forecast for a cell belongs to no company

    cell = models.ForeignKey(WeatherCell, on_delete=models.CASCADE, related_name="forecast_days")
    issued_at = models.DateTimeField(help_text="When this was known; no decision made earlier may use it.")
    quality = models.CharField(max_length=12, choices=Quality.choices, default=Quality.FORECAST)
    rain_probability = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        help_text="Highest of the day, 0 to 1. [-]",
    )

    class Meta:
        ordering = ["cell", "issued_at", "date"]
        constraints = [
            models.UniqueConstraint(fields=["cell", "issued_at", "date"], name="weather_forecast_once"),
            models.CheckConstraint(
                condition=Q(rain_probability__gte=0, rain_probability__lte=1),
                name="weather_forecast_probability_range",
            ),
            *known_limits("weather_forecast"),
        ]
        indexes = [models.Index(fields=["date", "issued_at"], name="weather_forecast_date")]

    def __str__(self) -> str:
        return f"{self.date} as foreseen {self.issued_at:%Y-%m-%d %H:%M}"
