"""The contractor's company, who works there, and its policy on changes."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.history import Kept
from fleet.policy_fields import POLICY_FIELDS, out_of_bounds
from fleet.tenancy import TenantModel


class Company(TenantModel):
    """An irrigation contractor."""

    company_path = ""

    class Units(models.TextChoices):
        US = "us", "US customary"
        METRIC = "metric", "metric"

    name = models.CharField(max_length=120)
    units = models.CharField(max_length=8, choices=Units, default=Units.US)
    currency = models.CharField(max_length=3, default="USD")
    contact_name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    postal_address = models.TextField(max_length=400, blank=True)
    visit_cost = models.DecimalField(
        "what a visit costs",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Way and work of a usual visit. Empty: not known, so visits are told without money.",
    )
    budget_factor = models.FloatField(
        "share of reference ET a water budget allows",
        default=0.7,
        validators=[MinValueValidator(0.1), MaxValueValidator(1.0)],
    )

    history = Kept()

    class Meta:
        verbose_name_plural = "companies"
        constraints = (
            models.CheckConstraint(condition=Q(units__in=["us", "metric"]), name="company_units"),
            models.CheckConstraint(
                condition=Q(visit_cost=None) | Q(visit_cost__gte=0), name="company_visit_cost"
            ),
            models.CheckConstraint(
                condition=Q(budget_factor__gte=0.1, budget_factor__lte=1.0), name="company_budget_factor"
            ),
        )

    def __str__(self) -> str:
        return self.name


class Membership(TenantModel):
    """One person's role in a company."""

    company_path = "company"

    class Role(models.TextChoices):
        OWNER = "owner", "owner"
        OFFICE = "office", "office"
        TECHNICIAN = "technician", "technician"

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="memberships")
    company = models.ForeignKey(Company, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=12, choices=Role)

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["user", "company"], name="membership_once"),
            models.CheckConstraint(
                condition=Q(role__in=["owner", "office", "technician"]), name="membership_role"
            ),
        )

    def __str__(self) -> str:
        return f"{self.user} ({self.role})"


class Policy(TenantModel):
    """What the service may do by itself and within which bounds.

    One row for the company; a row for a client overrides only the fields it fills.
    """

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="policies")
    client = models.OneToOneField(
        "fleet.Client", models.CASCADE, null=True, blank=True, related_name="policy"
    )
    auto_skips = models.BooleanField("approve skips by itself", null=True, blank=True)
    auto_move_points = models.PositiveSmallIntegerField(
        "approve percent moves up to this many points by itself", null=True, blank=True
    )
    percent_min = models.PositiveSmallIntegerField(null=True, blank=True)
    percent_max = models.PositiveSmallIntegerField(null=True, blank=True)
    dead_band_points = models.PositiveSmallIntegerField(
        "leave moves smaller than this alone", null=True, blank=True
    )
    uniformity_margin = models.FloatField(
        "share of the extra water for uneven heads that is given",
        null=True,
        blank=True,
        validators=[MinValueValidator(0.0), MaxValueValidator(1.0)],
        help_text="1 waters the drier parts fully, 0 waters to the average.",
    )
    visit_worth_l = models.FloatField("a trip is worth it from this much water a week", null=True, blank=True)
    freeze_skip_below_c = models.FloatField(null=True, blank=True)
    wind_skip_above_m_s = models.FloatField(null=True, blank=True)

    history = Kept()

    class Meta:
        verbose_name_plural = "policies"
        constraints = (
            models.UniqueConstraint(
                fields=["company"], condition=Q(client=None), name="policy_one_per_company"
            ),
            models.CheckConstraint(
                condition=Q(percent_min=None) | Q(percent_max=None) | Q(percent_min__lte=F("percent_max")),
                name="policy_percents_in_order",
            ),
            models.CheckConstraint(
                condition=Q(uniformity_margin=None) | Q(uniformity_margin__gte=0, uniformity_margin__lte=1),
                name="policy_uniformity_margin",
            ),
        )

    def __str__(self) -> str:
        return f"policy of {self.client or self.company}"

    def clean(self) -> None:
        if self.client and self.client.company_id != self.company_id:
            raise ValidationError({"client": "This client belongs to another company."})
        wrong = out_of_bounds({field.name: getattr(self, field.name) for field in POLICY_FIELDS})
        if wrong:
            raise ValidationError(
                {
                    field.name: f"{field.low:g} to {field.high:g}, in the units it is stored in."
                    for field in wrong
                }
            )
