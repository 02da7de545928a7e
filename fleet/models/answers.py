"""Answers kept for a day, so that a request sent twice is done once."""

from django.conf import settings
from django.db import models

from fleet.models.companies import Company
from fleet.tenancy import TenantModel


class KeptAnswer(TenantModel):
    """What was answered to a request that named itself by a key of the sender's own."""

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    key = models.CharField(max_length=200)
    request = models.CharField("digest of the request", max_length=64)
    status = models.PositiveSmallIntegerField(default=0)
    headers = models.JSONField(default=dict)
    body = models.JSONField(null=True)
    kept_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["company", "by", "key"], name="kept_answer_once"),)
        indexes = (models.Index(fields=["kept_at"], name="kept_answer_age"),)

    def __str__(self) -> str:
        return f"{self.status} at {self.kept_at}"
