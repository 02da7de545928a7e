"""What happened in a night, in plain words, and for whom."""

from typing import Any

from django.db import models

from fleet.models import Company
from fleet.tenancy import TenantModel


def nothing() -> dict[str, Any]:
    """Return empty counts."""
    return {}


class NightlyRun(models.Model):
    """One nightly run for one date and timezone."""

    company_path = None  # shared by all companies in a timezone; each reads its own part in NightlyRunCompany

    class State(models.TextChoices):
        RUNNING = "running", "running"
        DONE = "done", "done"
        ABORTED = "aborted", "broken off"

    date = models.DateField()
    timezone = models.CharField(max_length=64)
    state = models.CharField(max_length=8, choices=State, default=State.RUNNING)
    started_at = models.DateTimeField()
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    counts = models.JSONField(default=nothing)
    weather = models.JSONField(default=nothing)
    failures = models.JSONField(default=list)
    skip_check_at = models.DateTimeField(null=True, blank=True)
    advised_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-date", "timezone")
        constraints = (models.UniqueConstraint(fields=["date", "timezone"], name="nightly_run_once"),)

    def __str__(self) -> str:
        return f"{self.date} {self.timezone}"


class NightlyRunCompany(TenantModel):
    """One company's part of a nightly run: only what concerns its own sites."""

    company_path = "company"

    run = models.ForeignKey(NightlyRun, models.CASCADE, related_name="companies")
    company = models.ForeignKey(Company, models.CASCADE, related_name="nightly_runs")
    counts = models.JSONField(default=nothing)
    failures = models.JSONField(default=list)
    words = models.JSONField("what happened, in plain words", default=list)
    skip_words = models.JSONField("the late-afternoon check, in plain words", default=list)

    class Meta:
        verbose_name = "company's night"
        verbose_name_plural = "nights by company"
        constraints = (models.UniqueConstraint(fields=["run", "company"], name="nightly_run_company_once"),)

    def __str__(self) -> str:
        return f"{self.company} {self.run}"
