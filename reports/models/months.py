"""Months of programs, sites and meters: caches of what days add up to, rebuilt by ``manage.py recompute``."""

from django.db import models

from fleet.models import Controller, Meter, Site
from fleet.tenancy import TenantModel
from reports.models.baselines import MeterBaseline


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


class SiteMonth(TenantModel):
    """What a site's water budget allowed and its meters counted in one month, from the same days.

    Compared are days on which an account runs, every zone counts and meters of irrigation alone know all the
    site took: ``compared_l`` is what they counted, ``explained_l`` what was applied, in litres as all of it.
    """

    company_path = "site__client__company"

    site = models.ForeignKey(Site, models.CASCADE, related_name="months")
    month = models.DateField("first day of the month")
    through = models.DateField()
    days = models.PositiveSmallIntegerField()
    budget_l = models.FloatField("the water budget of the days that count", null=True, blank=True)
    metered_l = models.FloatField("what meters counted", null=True, blank=True)
    metered_days = models.PositiveSmallIntegerField("days all meters know", default=0)
    mixed = models.BooleanField("with indoor use", default=False)
    compared_days = models.PositiveSmallIntegerField(default=0)
    compared_l = models.FloatField(default=0.0)
    explained_l = models.FloatField(default=0.0)
    compared_budget_l = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["site", "month"], name="site_month_once"),)

    def __str__(self) -> str:
        return f"{self.site} {self.month:%Y-%m}"


class MeterMonth(TenantModel):
    """The bills of a meter that ended in one month, with what its baseline expects of them, in litres.

    ``points`` are ``{first, last, used_l, apart_l, need_l}`` as in ``MeterBaseline``.
    """

    company_path = "meter__site__client__company"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="months")
    baseline = models.ForeignKey(MeterBaseline, models.CASCADE, related_name="months")
    month = models.DateField("first day of the month")
    points = models.JSONField()
    baseline_l = models.FloatField("what the baseline expects")
    used_l = models.FloatField("what was used")

    class Meta:
        constraints = (models.UniqueConstraint(fields=["meter", "month"], name="meter_month_once"),)

    def __str__(self) -> str:
        return f"{self.meter} {self.month:%Y-%m}"
