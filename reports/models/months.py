"""A program's month: a cache of what its days add up to, rebuilt by ``manage.py recompute``."""

from django.db import models

from fleet.models import Controller
from fleet.tenancy import TenantModel


class ProgramMonth(TenantModel):
    """Estimated litres of one program letter in one month, applied and under both baselines.

    Nothing here is the truth: every figure is derived from settings, skips, survey and weather and can be
    computed again. ``through`` is the last day that is in it.
    """

    company_path = "controller__site__client__company"
    client_path = "controller__site__client"

    controller = models.ForeignKey(Controller, models.CASCADE, related_name="program_months")
    letter = models.CharField(max_length=2)
    month = models.DateField("first day of the month")
    through = models.DateField()
    days = models.PositiveSmallIntegerField()
    applied_l = models.FloatField()
    found_l = models.FloatField("as settings were found")
    found_withheld_l = models.FloatField()
    monthly_l = models.FloatField("with monthly percents", null=True, blank=True)
    monthly_withheld_l = models.FloatField(null=True, blank=True)
    need_l = models.FloatField("what plants needed, on the zones' area")
    short_l = models.FloatField("what they went without")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["controller", "letter", "month"], name="program_month_once"),
        )

    def __str__(self) -> str:
        return f"{self.controller} {self.letter} {self.month:%Y-%m}"
