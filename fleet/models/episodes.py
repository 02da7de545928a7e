"""Stretches of days when a zone isn't watered by need."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.history import Kept
from fleet.models.zones import Zone
from fleet.tenancy import TenantModel


class ZoneEpisode(TenantModel):
    """A stretch of nights when a zone isn't watered by need: it leaves the percent search and the savings.

    ``effective_from`` and ``effective_to`` are nights, both included. The permit is what a town hands out for
    watering beyond its days and hours. ``water_ds_m`` and ``soil_ds_m`` are electrical conductivities, of the
    water and of the soil's saturation extract.
    """

    company_path = "zone__controller__site__client__company"
    client_path = "zone__controller__site__client"

    class Kind(models.TextChoices):
        GROW_IN = "grow-in", "growing in"
        OVERSEED = "overseed", "overseeding"
        HAND_WATERED = "hand-watered", "watered by hand"
        OFF = "off", "off"
        LEACHING = "leaching", "leaching salt"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="episodes")
    kind = models.CharField(max_length=12, choices=Kind)
    effective_from = models.DateField("from")
    effective_to = models.DateField("to", null=True, blank=True)
    permit = models.CharField(max_length=80, blank=True)
    permit_from = models.DateField(null=True, blank=True)
    permit_to = models.DateField(null=True, blank=True)
    permit_hours_from = models.TimeField("the permit allows from", null=True, blank=True)
    permit_hours_to = models.TimeField("the permit allows until", null=True, blank=True)
    runs_a_day = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(24)]
    )
    run_minutes = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.5), MaxValueValidator(240)]
    )
    leaching_share = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.01), MaxValueValidator(0.6)]
    )
    water_ds_m = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.01), MaxValueValidator(20)]
    )
    soil_ds_m = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(40)]
    )
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(effective_to=None) | Q(effective_to__gte=F("effective_from")),
                name="zone_episode_dates_in_order",
            ),
            models.CheckConstraint(
                condition=Q(permit_from=None) | Q(permit_to=None) | Q(permit_to__gte=F("permit_from")),
                name="zone_episode_permit_in_order",
            ),
            models.CheckConstraint(
                condition=Q(leaching_share=None) | Q(leaching_share__gt=0, leaching_share__lt=1),
                name="zone_episode_leaching",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["grow-in", "overseed", "hand-watered", "off", "leaching"]),
                name="zone_episode_kind",
            ),
        )

    def __str__(self) -> str:
        return f"{self.zone}: {self.get_kind_display()}"
