"""Rain as somebody saw it on a site, which counts there instead of what the weather source says."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from fleet.history import Kept
from fleet.models.sites import Site
from fleet.tenancy import TenantModel

MOST_MM = 400.0


class SiteRain(TenantModel):
    """How much it rained on a site on one day, seen there: none, or what stood in a rain gauge."""

    company_path = "site__client__company"
    client_path = "site__client"

    class How(models.TextChoices):
        SAID_DRY = "said_dry", "no rain seen on site"
        GAUGE = "gauge", "rain gauge on site"

    site = models.ForeignKey(Site, models.CASCADE, related_name="rain")
    date = models.DateField()
    rain_mm = models.FloatField(
        "rain, mm", validators=[MinValueValidator(0.0), MaxValueValidator(MOST_MM)], default=0.0
    )
    how = models.CharField("how it was found", max_length=8, choices=How)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField("noted at", default=timezone.now)

    history = Kept()

    class Meta:
        verbose_name = "rain on a site"
        verbose_name_plural = "rain on sites"
        constraints = (
            models.UniqueConstraint(fields=["site", "date"], name="site_rain_once_a_day"),
            models.CheckConstraint(
                condition=Q(rain_mm__gte=0, rain_mm__lte=MOST_MM), name="site_rain_amount"
            ),
            models.CheckConstraint(
                condition=Q(how="gauge") | Q(how="said_dry", rain_mm=0), name="site_rain_dry_is_nothing"
            ),
        )

    def __str__(self) -> str:
        return f"{self.site}: {self.rain_mm:g} mm on {self.date}"
