"""Irrigation controllers: what each can hold and how a change reaches it."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.channels import known_channel
from fleet.history import Kept
from fleet.models.sites import Site, WaterSource
from fleet.tenancy import TenantModel


class Controller(TenantModel):
    """One controller on a wall. ``delivery`` names a channel of ``scheduling.delivery``."""

    company_path = "site__client__company"
    client_path = "site__client"

    class PercentScope(models.TextChoices):
        PROGRAM = "program", "a percent for each program"
        CONTROLLER = "controller", "one percent for the whole controller"

    site = models.ForeignKey(Site, models.CASCADE, related_name="controllers")
    source = models.ForeignKey(
        WaterSource,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="controllers",
        verbose_name="water source",
    )
    name = models.CharField(max_length=80)
    serial_number = models.CharField(max_length=80, blank=True)
    zone_capacity = models.PositiveSmallIntegerField(default=12)
    program_capacity = models.PositiveSmallIntegerField(default=3)
    starts_per_program = models.PositiveSmallIntegerField(default=4)
    percent_step = models.PositiveSmallIntegerField(
        default=5, validators=[MinValueValidator(1), MaxValueValidator(100)]
    )
    percent_max = models.PositiveSmallIntegerField(
        default=200, validators=[MinValueValidator(100), MaxValueValidator(500)]
    )
    percent_scope = models.CharField(max_length=10, choices=PercentScope, default=PercentScope.PROGRAM)
    minute_step = models.FloatField(default=1.0, validators=[MinValueValidator(0.01), MaxValueValidator(30)])
    cycle_and_soak = models.BooleanField(default=True)
    zones_at_once = models.PositiveSmallIntegerField(default=1)
    master_valve = models.BooleanField(default=False)
    flow_sensor = models.BooleanField(default=False)
    rain_sensor = models.BooleanField(default=False)
    freeze_sensor = models.BooleanField(default=False)
    delivery = models.CharField(max_length=20, default="office", validators=[known_channel])

    history = Kept()

    class Meta:
        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="controller_name_once"),
            models.CheckConstraint(
                condition=Q(percent_step__gte=1, percent_step__lte=100), name="controller_percent_step"
            ),
            models.CheckConstraint(
                condition=Q(percent_max__gte=100, percent_max__lte=500), name="controller_percent_max"
            ),
            models.CheckConstraint(condition=Q(minute_step__gt=0), name="controller_minute_step"),
            models.CheckConstraint(
                condition=Q(percent_scope__in=["program", "controller"]), name="controller_percent_scope"
            ),
            models.CheckConstraint(condition=Q(zones_at_once__gte=1), name="controller_zones_at_once"),
        )

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.site_id and self.source and self.source.site.client_id != self.site.client_id:
            raise ValidationError({"source": "This water source is at another client's site."})
