"""What a month usually brings, per cell."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from weather.models.cells import WeatherCell


class MonthlyNormal(models.Model):
    """The mean of the days stored for a calendar month, all years together."""

    company_path = None  # shared: the normals of a cell belong to no company

    cell = models.ForeignKey(WeatherCell, on_delete=models.CASCADE, related_name="normals")
    month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    reference_et_mm = models.FloatField(help_text="Mean of a day. [mm/d]")
    rain_mm = models.FloatField(null=True, blank=True, help_text="Sum of a month; empty is unknown. [mm]")
    days_used = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["cell", "month"]
        constraints = [
            models.UniqueConstraint(fields=["cell", "month"], name="weather_normal_once"),
            models.CheckConstraint(
                condition=Q(month__gte=1, month__lte=12), name="weather_normal_month_range"
            ),
            models.CheckConstraint(
                condition=Q(reference_et_mm__gte=0), name="weather_normal_et_not_negative"
            ),
            models.CheckConstraint(condition=Q(rain_mm__gte=0), name="weather_normal_rain_not_negative"),
        ]

    def __str__(self) -> str:
        return f"month {self.month}"
