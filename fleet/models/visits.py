"""Trips to a site and what was found there."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.sites import Site
from fleet.models.zones import Zone
from fleet.tenancy import TenantModel


class Visit(TenantModel):
    """A trip that is planned or was made. A controller nobody reaches from afar gets its changes then."""

    company_path = "site__client__company"

    class Kind(models.TextChoices):
        ROUTE = "route", "on the route"
        REPAIR = "repair", "repair"
        AUDIT = "audit", "audit"
        OPENING = "opening", "opening"
        CLOSING = "closing", "closing"

    site = models.ForeignKey(Site, models.CASCADE, related_name="visits")
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.ROUTE)
    date = models.DateField()
    done_at = models.DateTimeField(null=True, blank=True)
    note = models.TextField(blank=True)

    history = Kept()

    class Meta:
        ordering = ("date",)
        constraints = (models.UniqueConstraint(fields=["site", "kind", "date"], name="visit_once_a_day"),)

    def __str__(self) -> str:
        return f"{self.site} on {self.date}"


class Finding(TenantModel):
    """Something broken or wrong at a zone, with the water it loses."""

    company_path = "zone__controller__site__client__company"

    class Status(models.TextChoices):
        OPEN = "open", "open"
        MENDED = "mended", "mended"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="findings")
    found_on = models.DateField()
    part = models.CharField(max_length=80)
    note = models.CharField(max_length=200, blank=True)
    lost_l_day = models.FloatField(
        "litres a day lost", null=True, blank=True, validators=[MinValueValidator(0)]
    )
    status = models.CharField(max_length=8, choices=Status, default=Status.OPEN)

    history = Kept()

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(lost_l_day=None) | Q(lost_l_day__gte=0), name="finding_loss"),
            models.CheckConstraint(condition=Q(status__in=["open", "mended"]), name="finding_status"),
        )

    def __str__(self) -> str:
        return f"{self.part} at {self.zone}"
