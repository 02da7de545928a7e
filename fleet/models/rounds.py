"""Going through the zones of a site one by one, each run and looked at."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.controllers import Controller
from fleet.models.sites import Site
from fleet.models.zones import Zone
from fleet.numerics.zone_faults import FAULTS
from fleet.tenancy import TenantModel


def nothing_seen() -> list[str]:
    """Return what was seen at a zone where everything was well."""
    return []


class ZoneRound(TenantModel):
    """A round through all zones of a site, or of one of its controllers; to be left and taken up again."""

    company_path = "site__client__company"

    class Kind(models.TextChoices):
        COMMISSIONING = "commissioning", "commissioning"
        CHECK = "check", "check of every zone"

    site = models.ForeignKey(Site, models.CASCADE, related_name="rounds")
    controller = models.ForeignKey(
        Controller,
        models.CASCADE,
        null=True,
        blank=True,
        related_name="rounds",
        help_text="Empty: all of them.",
    )
    kind = models.CharField(max_length=13, choices=Kind, default=Kind.CHECK)
    began_on = models.DateField()
    done_on = models.DateField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        verbose_name = "round through zones"
        verbose_name_plural = "rounds through zones"
        ordering = ("-began_on", "-id")
        constraints = (
            models.UniqueConstraint(
                fields=["site"], condition=Q(done_on=None, controller=None), name="zone_round_of_site_once"
            ),
            models.UniqueConstraint(
                fields=["controller"], condition=Q(done_on=None), name="zone_round_of_controller_once"
            ),
            models.CheckConstraint(
                condition=Q(done_on=None) | Q(done_on__gte=models.F("began_on")), name="zone_round_dates"
            ),
            models.CheckConstraint(condition=Q(kind__in=["commissioning", "check"]), name="zone_round_kind"),
        )

    def __str__(self) -> str:
        return f"{self.controller or self.site}, {self.get_kind_display()} of {self.began_on}"


class ZoneTest(TenantModel):
    """One zone run and looked at: flow, pressure, what was seen; or why it wasn't.

    ``measured`` is what the flow was worked out from, ``expected_l_min`` what was expected at that moment and
    ``expected_from`` why; ``replaced`` is what the survey said before the measured flow was taken into it.
    """

    company_path = "zone__controller__site__client__company"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="tests")
    round = models.ForeignKey(ZoneRound, models.CASCADE, null=True, blank=True, related_name="tests")
    date = models.DateField()
    flow_l_min = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(10_000)]
    )
    measured = models.JSONField("what the flow was worked out from", null=True, blank=True)
    pressure_kpa = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(2_000)]
    )
    seen = models.JSONField(default=nothing_seen, blank=True)
    note = models.CharField(max_length=400, blank=True)
    not_seen_because = models.CharField(max_length=200, blank=True)
    expected_l_min = models.FloatField(null=True, blank=True, editable=False)
    expected_from = models.CharField(max_length=12, blank=True, editable=False)
    replaced = models.JSONField(null=True, blank=True, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        ordering = ("-date", "-id")
        constraints = (
            models.UniqueConstraint(
                fields=["round", "zone"], condition=Q(round__isnull=False), name="zone_test_once_a_round"
            ),
            models.UniqueConstraint(
                fields=["zone", "date"], condition=Q(round=None), name="zone_test_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(flow_l_min=None) | Q(flow_l_min__gte=0), name="zone_test_flow"
            ),
            models.CheckConstraint(
                condition=Q(pressure_kpa=None) | Q(pressure_kpa__gte=0), name="zone_test_pressure"
            ),
        )

    def __str__(self) -> str:
        return f"{self.zone}: test of {self.date}"

    def clean(self) -> None:
        if self.round is not None and self.zone_id and self.round.site_id != self.zone.controller.site_id:
            raise ValidationError({"round": "This round is at another site."})
        if self.round is not None and self.round.controller_id not in (None, self.zone.controller_id):
            raise ValidationError({"round": "This round is through another controller."})
        self.seen = known_faults(self.seen)


def known_faults(seen: Any) -> list[str]:
    """Return what was seen in the order of the list, each once.

    Raises
    ------
    ValidationError
        If one isn't on the list.
    """
    if not isinstance(seen, list) or any(one not in FAULTS for one in seen if isinstance(one, str)):
        raise ValidationError({"seen": f"Pick from {', '.join(FAULTS)}."})
    if any(not isinstance(one, str) for one in seen):
        raise ValidationError({"seen": f"Pick from {', '.join(FAULTS)}."})
    return [key for key in FAULTS if key in seen]
