"""Use of water that somebody should look at: found at night, told once, until somebody says why."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from fleet.models import Meter, Zone
from fleet.tenancy import TenantModel


def nothing() -> dict[str, Any]:
    """Return the evidence of an alert nobody has found."""
    return {}


class UseAlert(TenantModel):
    """Water a meter counted that nothing explains, from a first to a last day, with its evidence.

    While it goes on it stays one row; put aside it isn't told again until it has been over for two weeks.
    ``evidence`` is ``{days: [{day, used_l, due_l, idle_l}]}`` [L], of flows ``{ratio, nights, tested}``.
    """

    company_path = "meter__site__client__company"

    class Kind(models.TextChoices):
        IDLE = "idle", "water when nothing was due"
        FLOW = "flow", "more or less flow than due"
        BEYOND = "beyond", "more than any program explains"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="use_alerts")
    kind = models.CharField(max_length=8, choices=Kind)
    zone = models.ForeignKey(Zone, models.CASCADE, null=True, blank=True, related_name="+")
    first = models.DateField("first day")
    last = models.DateField("last day")
    litres = models.FloatField("litres nothing explains")
    evidence = models.JSONField(default=nothing)
    found_on = models.DateField()
    dismissed_at = models.DateTimeField(null=True, blank=True)
    dismissed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    dismissed_why = models.CharField("why it is in order", max_length=200, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["meter", "kind", "zone", "first"],
                condition=Q(zone__isnull=False),
                name="use_alert_of_zone_once",
            ),
            models.UniqueConstraint(
                fields=["meter", "kind", "first"], condition=Q(zone=None), name="use_alert_once"
            ),
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="use_alert_days_in_order"),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} at {self.meter}"
