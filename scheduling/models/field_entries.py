"""What was entered on the field sheet, so that it can be taken back for a while."""

from typing import Any

from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.utils import timezone

from fleet.models import Site
from fleet.tenancy import TenantModel


def nothing() -> dict[str, Any]:
    """Return what an entry says that says nothing."""
    return {}


class FieldEntry(TenantModel):
    """One thing a technician entered: ``after`` is what the row says since, ``before`` what it said."""

    company_path = "site__client__company"

    class Kind(models.TextChoices):
        CHANGE = "change", "a change entered"
        SOIL = "soil", "soil probed"
        TRIM = "trim", "a zone that needs less or more"
        RAIN = "rain", "rain on a site"
        FINDING = "finding", "something broken"
        MENDED = "mended", "something mended"
        VISIT = "visit", "a visit done"

    site = models.ForeignKey(Site, models.CASCADE, related_name="field_entries")
    kind = models.CharField(max_length=8, choices=Kind)
    row = models.PositiveBigIntegerField("number of the row")
    about = models.CharField(max_length=200, blank=True)
    before = models.JSONField(null=True, blank=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(default=nothing, encoder=DjangoJSONEncoder)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        verbose_name_plural = "field entries"
        ordering = ("-id",)
        indexes = (models.Index(fields=["by", "at"], name="field_entry_by_at"),)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(kind__in=["change", "soil", "trim", "rain", "finding", "mended", "visit"]),
                name="field_entry_kind",
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.about}"
