"""What would be worth doing at a controller, as it was last computed, and what people said to it."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from fleet.models import Controller, Zone
from fleet.tenancy import TenantModel
from scheduling.models.programs import Program


def no_facts() -> dict[str, Any]:
    """Return the facts of advice nobody has computed."""
    return {}


class Advice(TenantModel):
    """One line of advice: a cache of what ``scheduling/selectors/advice`` found, made anew each night.

    Nothing here is the truth but what people said to it: why it was put aside (until its water moves by a
    quarter) and which change it became. A line somebody said something to stays a month after it is no longer
    found (``gone_on``), so that neither is lost over a night without it.

    ``becomes`` is the kind of change it can be made with one click, empty where a person has to plan.
    """

    company_path = "controller__site__client__company"

    class Kind(models.TextChoices):
        UNLIKE = "unlike zones", "zone among unlike ones"
        DRIVES = "one zone drives", "one zone drives a program"
        DAYS = "too few days", "too few watering days"
        RUNOFF = "runoff", "longer runs than the soil takes"
        RULE = "outside the rule", "waters against its rule"
        UNEVEN = "uneven heads", "uneven heads"

    controller = models.ForeignKey(Controller, models.CASCADE, related_name="advice")
    kind = models.CharField(max_length=16, choices=Kind)
    key = models.CharField(max_length=40)
    program = models.ForeignKey(Program, models.CASCADE, null=True, blank=True, related_name="+")
    zone = models.ForeignKey(Zone, models.CASCADE, null=True, blank=True, related_name="+")
    words = models.CharField(max_length=500)
    litres_week = models.FloatField("litres a week", null=True, blank=True)
    litres_year = models.FloatField("litres a usual year", null=True, blank=True)
    money_year = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    risk = models.PositiveSmallIntegerField(default=0)
    facts = models.JSONField(default=no_facts)
    becomes = models.CharField("can become a change of", max_length=12, blank=True)
    change = models.ForeignKey("scheduling.Change", models.SET_NULL, null=True, blank=True, related_name="+")
    found_on = models.DateField("first found on")
    looked_on = models.DateField("last looked at on")
    gone_on = models.DateField("no longer found on", null=True, blank=True)
    dismissed_at = models.DateTimeField(null=True, blank=True)
    dismissed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    dismissed_why = models.CharField("why not", max_length=200, blank=True)
    dismissed_litres = models.FloatField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "advice"
        constraints = (
            models.UniqueConstraint(fields=["controller", "key"], name="advice_once"),
            models.CheckConstraint(condition=Q(risk__lte=2), name="advice_risk"),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} at {self.controller}"
