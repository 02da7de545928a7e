"""Programs as they are entered at the controller, and the percents in force."""

import re
from datetime import date, time
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models import Controller, Zone
from fleet.models.rules import WEEKDAYS
from fleet.tenancy import TenantModel

DAY_MINUTES = 1440
DAY_PATTERNS = ("daily", "odd", "even")
CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")


def no_starts() -> list[str]:
    """Return the starts of a program nobody has given any."""
    return []


class Program(TenantModel):
    """One program of a controller from the date it took effect.

    ``days`` is ``daily``, ``odd``, ``even``, or weekdays such as ``mon wed fri``; ``starts`` a list of
    ``HH:MM``. A new version with a later ``effective`` date replaces the one before it.
    """

    company_path = "controller__site__client__company"
    client_path = "controller__site__client"

    controller = models.ForeignKey(Controller, models.CASCADE, related_name="programs")
    letter = models.CharField(max_length=2)
    name = models.CharField(max_length=80, blank=True)
    days = models.CharField(max_length=27, default="daily")
    starts = models.JSONField(default=no_starts)
    effective = models.DateField()
    ended = models.DateField("no longer run from", null=True, blank=True)

    history = Kept()

    class Meta:
        ordering = ("controller", "letter", "effective")
        constraints = (
            models.UniqueConstraint(
                fields=["controller", "letter", "effective"], name="program_version_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.name}, {self.letter}" if self.name else f"Program {self.letter}"

    def clean(self) -> None:
        words = str(self.days).split()
        if self.days not in DAY_PATTERNS and not (words and set(words) <= set(WEEKDAYS)):
            raise ValidationError({"days": "Write daily, odd, even, or weekdays such as mon wed fri."})
        starts: Any = self.starts
        if not isinstance(starts, list) or not all(isinstance(s, str) and CLOCK.fullmatch(s) for s in starts):
            raise ValidationError({"starts": "Write each start as HH:MM, for example 04:30."})

    def waters_on(self, day: date) -> bool:
        """Tell whether ``day`` is a watering day of this program."""
        if self.days == "daily":
            return True
        if self.days in ("odd", "even"):
            return (day.day % 2 == 1) == (self.days == "odd")
        return WEEKDAYS[day.weekday()] in str(self.days).split()

    def start_times(self) -> list[time]:
        """Return the starts as times of day."""
        return [time.fromisoformat(start) for start in self.starts]


class ZoneRun(TenantModel):
    """How long a program runs one zone at 100 percent, and in which cycles."""

    company_path = "program__controller__site__client__company"
    client_path = "program__controller__site__client"

    program = models.ForeignKey(Program, models.CASCADE, related_name="runs")
    zone = models.ForeignKey(Zone, models.CASCADE, related_name="runs")
    minutes = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(DAY_MINUTES)])
    cycle = models.FloatField(
        "longest cycle",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(DAY_MINUTES)],
    )
    soak = models.FloatField(
        "soak between cycles",
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(DAY_MINUTES)],
    )
    order = models.PositiveSmallIntegerField(default=1)

    history = Kept()

    class Meta:
        ordering = ("program", "order")
        constraints = (
            models.UniqueConstraint(fields=["program", "zone"], name="zone_run_once"),
            models.CheckConstraint(condition=Q(minutes__gte=0), name="zone_run_minutes"),
            models.CheckConstraint(condition=Q(cycle=None) | Q(cycle__gt=0), name="zone_run_cycle"),
            models.CheckConstraint(condition=Q(soak=None) | Q(soak__gte=0), name="zone_run_soak"),
        )

    def __str__(self) -> str:
        return f"{self.zone}: {self.minutes:g} min"

    def clean(self) -> None:
        if self.program_id and self.zone_id and self.program.controller_id != self.zone.controller_id:
            raise ValidationError({"zone": "This zone is wired to another controller."})


class Setting(TenantModel):
    """The percent a program runs at from a night on (noon to noon)."""

    company_path = "program__controller__site__client__company"
    client_path = "program__controller__site__client"

    class How(models.TextChoices):
        FOUND = "found", "found at the controller"
        CHANGE = "change", "entered as decided"
        ENTERED = "entered", "entered otherwise"

    program = models.ForeignKey(Program, models.CASCADE, related_name="settings")
    percent = models.PositiveSmallIntegerField()
    effective_from = models.DateField("from the night of")
    how = models.CharField(max_length=8, choices=How, default=How.FOUND)
    change = models.ForeignKey(
        "scheduling.Change", models.SET_NULL, null=True, blank=True, related_name="settings"
    )

    history = Kept()

    class Meta:
        ordering = ("program", "effective_from")
        constraints = (
            models.UniqueConstraint(fields=["program", "effective_from"], name="setting_once_a_night"),
            models.CheckConstraint(condition=Q(percent__lte=500), name="setting_percent"),
        )

    def __str__(self) -> str:
        return f"{self.percent} % from {self.effective_from}"


class Skip(TenantModel):
    """Nights a program doesn't water, first and last night included."""

    company_path = "program__controller__site__client__company"
    client_path = "program__controller__site__client"

    program = models.ForeignKey(Program, models.CASCADE, related_name="skips")
    effective_from = models.DateField("from the night of")
    effective_to = models.DateField("to the night of")
    reason = models.CharField(max_length=300)
    group = models.CharField("set together with", max_length=36, blank=True)
    change = models.ForeignKey(
        "scheduling.Change", models.SET_NULL, null=True, blank=True, related_name="skips"
    )

    history = Kept()

    class Meta:
        ordering = ("effective_from",)
        constraints = (
            models.CheckConstraint(
                condition=Q(effective_to__gte=models.F("effective_from")), name="skip_nights_in_order"
            ),
        )

    def __str__(self) -> str:
        return f"no water {self.effective_from} to {self.effective_to}"
