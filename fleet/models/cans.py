"""What was caught in cans on the ground while a zone ran."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.zones import Zone
from fleet.numerics.catch_cans import Audit, audited
from fleet.tenancy import TenantModel

FEWEST, MOST_CANS, MOST_ML = 4, 200, 5_000.0


def no_volumes() -> list[float]:
    """Return the volumes of an audit before the first can is read."""
    return []


class CanAudit(TenantModel):
    """One catch-can audit: how long the zone ran and what each can held. What follows from it is derived.

    ``replaced`` is what the survey of the zone said before the audit was taken into it, None while it isn't.
    """

    company_path = "zone__controller__site__client__company"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="can_audits")
    date = models.DateField()
    minutes = models.FloatField(
        "minutes the zone ran", validators=[MinValueValidator(0.5), MaxValueValidator(240)]
    )
    throat_cm2 = models.FloatField(
        "opening of one can, cm2", validators=[MinValueValidator(5), MaxValueValidator(5_000)]
    )
    volumes_ml = models.JSONField("mL caught in each can", default=no_volumes)
    wind_m_s = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(40)]
    )
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    replaced = models.JSONField(null=True, blank=True, editable=False)

    history = Kept()

    class Meta:
        verbose_name = "catch-can audit"
        ordering = ("-date", "-id")
        constraints = (
            models.CheckConstraint(condition=Q(minutes__gt=0), name="can_audit_minutes"),
            models.CheckConstraint(condition=Q(throat_cm2__gt=0), name="can_audit_throat"),
            models.CheckConstraint(condition=Q(wind_m_s=None) | Q(wind_m_s__gte=0), name="can_audit_wind"),
        )

    def __str__(self) -> str:
        return f"{self.zone}: cans of {self.date}"

    def clean(self) -> None:
        self.volumes_ml = checked_volumes(self.volumes_ml)

    @property
    def found(self) -> Audit:
        """Return rate and uniformity that follow from the cans."""
        return audited(self.volumes_ml, minutes=self.minutes, throat_cm2=self.throat_cm2)


def checked_volumes(volumes: Any) -> list[float]:
    """Return the volumes of some cans as numbers.

    Raises
    ------
    ValidationError
        If they aren't 4 to 200 numbers of 0 to 5,000 mL, one of them above 0.
    """
    numbers = isinstance(volumes, list) and all(
        isinstance(one, int | float) and not isinstance(one, bool) and 0 <= one <= MOST_ML for one in volumes
    )
    if not numbers:
        raise ValidationError({"volumes_ml": f"Each can holds 0 to {MOST_ML:,.0f} mL."})
    if not FEWEST <= len(volumes) <= MOST_CANS:
        raise ValidationError({"volumes_ml": f"{FEWEST} to {MOST_CANS} cans; these are {len(volumes)}."})
    if not any(volumes):
        raise ValidationError({"volumes_ml": "No can caught anything; the zone may not have run."})
    return [float(one) for one in volumes]
