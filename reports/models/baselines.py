"""What a meter would have used without the service: fits on earlier bills, and what they can't know."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from fleet.history import Kept
from fleet.models import Meter
from fleet.tenancy import TenantModel

MOST_L_DAY = 1e7


def nothing() -> dict[str, Any]:
    """Return the figures of a fit nobody has made."""
    return {}


class MeterBaseline(TenantModel):
    """A fit of a meter's use on the bills of a chosen period: evidence, kept as it was decided.

    Never changed: another fit takes its place (``replaced_at``). ``refused`` says why a fit isn't used.
    ``points`` are the bills it rests on, ``{first, last, used_l, apart_l, need_l}``, days included;
    ``figures`` are ``{cv_rmse, r2, nmbe, rho, effective}``.
    """

    company_path = "meter__site__client__company"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="baselines")
    first = models.DateField("first day")
    last = models.DateField("last day")
    terms = models.JSONField()
    coefficients = models.JSONField()
    points = models.JSONField()
    figures = models.JSONField(default=nothing)
    refused = models.CharField("why it isn't used", max_length=300, blank=True)
    fitted_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    replaced_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = "baseline of a meter"
        verbose_name_plural = "baselines of meters"
        constraints = (
            models.UniqueConstraint(
                fields=["meter"], condition=Q(replaced_at=None), name="meter_baseline_one_in_use"
            ),
            models.CheckConstraint(condition=Q(last__gt=F("first")), name="meter_baseline_days_in_order"),
        )

    def __str__(self) -> str:
        return f"{self.meter}, {self.first} to {self.last}"


class NonRoutineChange(TenantModel):
    """Water a meter used, or didn't, for a reason no weather explains: counted apart from any saving.

    ``litres_day`` is above 0 where more was used than the baseline can know (new turf, a leak), below 0 where
    less was (nobody there, a bed taken out). ``last`` is None while it goes on.
    """

    company_path = "meter__site__client__company"

    class Kind(models.TextChoices):
        PLANTED = "planted", "new planting"
        TAKEN_OUT = "taken out", "planting taken out"
        LEAK = "leak", "leak"
        RULE = "rule", "rule of the town in a drought"
        EMPTY = "empty", "nobody there"
        OTHER = "other", "something else"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="non_routine_changes")
    kind = models.CharField(max_length=10, choices=Kind)
    first = models.DateField("first day")
    last = models.DateField("last day", null=True, blank=True)
    litres_day = models.FloatField(
        "litres a day",
        validators=[MinValueValidator(-MOST_L_DAY), MaxValueValidator(MOST_L_DAY)],
        help_text="More than the baseline knows above 0, less below 0. [L/d]",
    )
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    history = Kept()

    class Meta:
        verbose_name = "non-routine change"
        constraints = (
            models.CheckConstraint(
                condition=Q(last=None) | Q(last__gte=F("first")), name="non_routine_days_in_order"
            ),
            models.CheckConstraint(
                condition=Q(litres_day__gte=-MOST_L_DAY, litres_day__lte=MOST_L_DAY),
                name="non_routine_litres",
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} at {self.meter}"

    def clean(self) -> None:
        if self.first and self.last and self.last < self.first:
            raise ValidationError({"last": "The last day is before the first."})
        if self.litres_day == 0:
            raise ValidationError({"litres_day": "Nothing a day changes nothing."})
