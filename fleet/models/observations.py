"""Facts from the garden that bend or reset the account of soil water."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.history import Kept
from fleet.models.rules import Town
from fleet.models.zones import Zone
from fleet.tenancy import TenantModel


class SoilObservation(TenantModel):
    """How dry the root zone was found on the morning of a day; resets the balance."""

    company_path = "zone__controller__site__client__company"
    client_path = "zone__controller__site__client"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="soil_observations")
    date = models.DateField()
    depletion_share = models.FloatField(
        "share of the available water that is gone",
        validators=[MinValueValidator(0.0), MaxValueValidator(1.0)],
        help_text="0: full, 1: nothing left that plants can use.",
    )
    how = models.CharField("how it was found", max_length=80, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["zone", "date"], name="soil_observation_once_a_day"),
            models.CheckConstraint(
                condition=Q(depletion_share__gte=0, depletion_share__lte=1), name="soil_observation_share"
            ),
        )

    def __str__(self) -> str:
        return f"{self.zone}: {self.depletion_share:.0%} gone on {self.date}"


class ZoneTrim(TenantModel):
    """A lasting correction of what one zone needs, with the reason."""

    company_path = "zone__controller__site__client__company"
    client_path = "zone__controller__site__client"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="trims")
    factor = models.FloatField(validators=[MinValueValidator(0.3), MaxValueValidator(2.0)])
    reason = models.CharField(max_length=200)
    effective_from = models.DateField("from")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["zone", "effective_from"], name="zone_trim_once_a_day"),
            models.CheckConstraint(condition=Q(factor__gt=0, factor__lte=2), name="zone_trim_factor"),
        )

    def __str__(self) -> str:
        return f"{self.zone} × {self.factor}"


class ZoneCut(TenantModel):
    """The share of its need one zone is held at while a town's stage asks for less water."""

    company_path = "zone__controller__site__client__company"
    client_path = "zone__controller__site__client"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="cuts")
    town = models.ForeignKey(Town, models.CASCADE, related_name="cuts")
    factor = models.FloatField(validators=[MinValueValidator(0.0), MaxValueValidator(1.0)])
    reason = models.CharField(max_length=200)
    effective_from = models.DateField("from")
    effective_to = models.DateField("to", null=True, blank=True)

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["zone", "effective_from"], name="zone_cut_once_a_day"),
            models.CheckConstraint(condition=Q(factor__gte=0, factor__lte=1), name="zone_cut_factor"),
            models.CheckConstraint(
                condition=Q(effective_to=None) | Q(effective_to__gte=F("effective_from")),
                name="zone_cut_dates_in_order",
            ),
        )

    def __str__(self) -> str:
        return f"{self.zone} held at {self.factor:.0%}"
