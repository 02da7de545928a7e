"""Rules set from outside: watering days and hours, and the price of water."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.companies import Company
from fleet.tenancy import TenantModel

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
weekday_list = RegexValidator(
    r"^((mon|tue|wed|thu|fri|sat|sun)( (?!$)|$)){0,7}$", "Write weekdays as mon wed fri."
)


class WateringRule(TenantModel):
    """When a town, a source or an association lets a site be watered."""

    company_path = "company"

    class Parity(models.TextChoices):
        ANY = "any", "any date"
        ODD = "odd", "odd dates"
        EVEN = "even", "even dates"

    company = models.ForeignKey(Company, models.CASCADE, related_name="watering_rules")
    name = models.CharField(max_length=120)
    weekdays = models.CharField(
        max_length=27, blank=True, validators=[weekday_list], help_text="Empty: any weekday."
    )
    parity = models.CharField(max_length=4, choices=Parity, default=Parity.ANY)
    days_per_week = models.PositiveSmallIntegerField(null=True, blank=True)
    hours_from = models.TimeField("watering allowed from", null=True, blank=True)
    hours_to = models.TimeField("watering allowed until", null=True, blank=True)
    source = models.CharField("where this rule is written", max_length=200, blank=True)

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["company", "name"], name="watering_rule_name_once"),
            models.CheckConstraint(
                condition=Q(days_per_week=None) | Q(days_per_week__gte=0, days_per_week__lte=7),
                name="watering_rule_days",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Tariff(TenantModel):
    """What water costs. A flat price; tiers come later."""

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="tariffs")
    name = models.CharField(max_length=120)
    price_per_m3 = models.DecimalField(max_digits=9, decimal_places=4)
    currency = models.CharField(max_length=3, default="USD")

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["company", "name"], name="tariff_name_once"),
            models.CheckConstraint(condition=Q(price_per_m3__gte=0), name="tariff_price_not_negative"),
        )

    def __str__(self) -> str:
        return self.name
