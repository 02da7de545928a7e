"""What was changed on the settings pages, by whom, from what to what."""

from typing import Any

from django.conf import settings
from django.db import models

from fleet.models.companies import Company
from fleet.tenancy import TenantModel


def nothing() -> dict[str, Any]:
    """Return the fields of an edit that changed none."""
    return {}


class SettingEdit(TenantModel):
    """One save: the fields it changed as they were and as they became. Rows are only ever added.

    ``row`` is the key of the row that was changed, ``about`` its name at that time; ``undoes`` the edit that
    was taken back by this one.
    """

    company_path = "company"

    class Topic(models.TextChoices):
        POLICY = "policy", "decisions"
        COMPANY = "company", "company"
        PERSON = "person", "people"
        PRICE = "price", "price of water"
        RULE = "rule", "watering rule"
        TOWN = "town", "town"
        KIND = "kind", "kind of zone"

    company = models.ForeignKey(Company, models.CASCADE, related_name="setting_edits")
    topic = models.CharField(max_length=8, choices=Topic)
    row = models.BigIntegerField()
    about = models.CharField(max_length=254, blank=True)
    what = models.CharField(max_length=20, default="changed")
    before = models.JSONField(default=nothing)
    after = models.JSONField(default=nothing)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    undoes = models.OneToOneField("self", models.SET_NULL, null=True, blank=True, related_name="undone_by")

    class Meta:
        ordering = ("-id",)
        indexes = (models.Index(fields=["company", "topic", "row"], name="setting_edit_row"),)

    def __str__(self) -> str:
        return f"{self.get_topic_display()} {self.what}: {self.about}"
