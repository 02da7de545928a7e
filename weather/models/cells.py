"""A weather cell: the small piece of map that the sites in it share their weather with."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q


class WeatherCell(models.Model):
    """The centre of a 0.03 degree square at one height and in one time zone.

    A site's own coordinate is never kept here nor sent for the cell; the service rounds it away.
    What the source says about the grid point it answered for stands in the ``source_`` fields.
    """

    company_path = None  # shared: a piece of the map belongs to no company

    latitude = models.FloatField(
        validators=[MinValueValidator(-90), MaxValueValidator(90)], help_text="Of the square's centre. [deg]"
    )
    longitude = models.FloatField(
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
        help_text="Of the square's centre. [deg]",
    )
    elevation_m = models.FloatField(
        validators=[MinValueValidator(-450), MaxValueValidator(9000)],
        help_text="The height weather is asked for, to the nearest 10 m. [m]",
    )
    timezone = models.CharField(max_length=64, help_text="IANA name; it decides where a day begins.")
    source_latitude = models.FloatField(null=True, blank=True, help_text="Of the source's grid point. [deg]")
    source_longitude = models.FloatField(null=True, blank=True, help_text="Of the source's grid point. [deg]")
    source_elevation_m = models.FloatField(null=True, blank=True, help_text="Of the source's grid point. [m]")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["latitude", "longitude", "elevation_m", "timezone"], name="weather_cell_once"
            ),
            models.CheckConstraint(
                condition=Q(latitude__gte=-90, latitude__lte=90), name="weather_cell_latitude_range"
            ),
            models.CheckConstraint(
                condition=Q(longitude__gte=-180, longitude__lte=180), name="weather_cell_longitude_range"
            ),
            models.CheckConstraint(
                condition=Q(elevation_m__gte=-450, elevation_m__lte=9000), name="weather_cell_elevation_range"
            ),
            models.CheckConstraint(condition=~Q(timezone=""), name="weather_cell_has_timezone"),
        ]

    def __str__(self) -> str:
        return f"{self.latitude:.3f}, {self.longitude:.3f} at {self.elevation_m:.0f} m"
