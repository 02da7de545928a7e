"""A site whose plants lose more or less than the weather of its place says."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.sites import Site
from fleet.tenancy import TenantModel

LEAST, MOST = 0.5, 1.5


class SiteCorrection(TenantModel):
    """By what a site's reference ET is multiplied from a day on, until its next, with the reason.

    A sheltered courtyard or a foggy shore below 1, a windy ridge or hot paving above it.
    """

    company_path = "site__client__company"
    client_path = "site__client"

    site = models.ForeignKey(Site, models.CASCADE, related_name="corrections")
    factor = models.FloatField(
        validators=[MinValueValidator(LEAST), MaxValueValidator(MOST)],
        help_text="Of the reference ET of the weather there, 0.5 to 1.5; 1 takes an earlier one back. [-]",
    )
    reason = models.CharField(max_length=200)
    effective_from = models.DateField("from")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        verbose_name = "site correction"
        constraints = (
            models.UniqueConstraint(fields=["site", "effective_from"], name="site_correction_once_a_day"),
            models.CheckConstraint(
                condition=Q(factor__gte=LEAST, factor__lte=MOST), name="site_correction_factor"
            ),
        )

    def __str__(self) -> str:
        return f"{self.site} × {self.factor:g}"
