"""Water meters and what they showed: readings of the register, bills, and use by the hour."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from common.units import L_PER_METER_UNIT
from fleet.history import Kept
from fleet.models.sites import Site, WaterSource
from fleet.models.zones import Zone
from fleet.tenancy import TenantModel

MOST = 1e12  # of any register, in its unit
MOST_MINUTES = 24 * 60


class Meter(TenantModel):
    """A water meter of a site: of one source, of some zones, or (neither given) of all the site takes."""

    company_path = "site__client__company"

    class Unit(models.TextChoices):
        GAL = "gal", "gallons"
        KGAL = "kgal", "1,000 gallons"
        CCF = "ccf", "CCF (100 cubic feet)"
        M3 = "m3", "cubic metres"
        L = "l", "litres"

    site = models.ForeignKey(Site, models.CASCADE, related_name="meters")
    source = models.ForeignKey(WaterSource, models.SET_NULL, null=True, blank=True, related_name="meters")
    zones = models.ManyToManyField(
        Zone, blank=True, related_name="meters", help_text="The zones behind it. Empty: all of the site's."
    )
    name = models.CharField(max_length=80)
    serial_number = models.CharField(max_length=40, blank=True)
    unit = models.CharField("counts in", max_length=4, choices=Unit)
    rolls_over_at = models.FloatField(
        "starts over at",
        null=True,
        blank=True,
        validators=[MinValueValidator(1.0), MaxValueValidator(MOST)],
        help_text="The first number the register can't show any more, such as 1000000. Empty: unknown.",
    )
    mixed = models.BooleanField(
        "serves indoor use too", default=False, help_text="Kitchens and bathrooms hang on it as well."
    )
    note = models.CharField(max_length=200, blank=True)

    history = Kept()

    class Meta:
        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="meter_name_once"),
            models.CheckConstraint(
                condition=Q(unit__in=["gal", "kgal", "ccf", "m3", "l"]), name="meter_unit"
            ),
            models.CheckConstraint(
                condition=Q(rolls_over_at=None) | Q(rolls_over_at__gte=1), name="meter_rolls_over_at"
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def l_per_unit(self) -> float:
        """Return the litres in one unit of its register. [L]"""
        return L_PER_METER_UNIT[self.unit]

    def clean(self) -> None:
        if self.source_id is not None and self.source is not None and self.source.site_id != self.site_id:
            raise ValidationError({"source": "This is no water of the meter's site."})


class MeterReading(TenantModel):
    """What the register of a meter showed at a moment, in the meter's unit."""

    company_path = "meter__site__client__company"

    class How(models.TextChoices):
        HAND = "hand", "read by a person"
        FILE = "file", "from a file"
        INTERFACE = "interface", "over the interface"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="readings", db_index=False)
    read_at = models.DateTimeField()
    value = models.FloatField(
        "reading", validators=[MinValueValidator(0.0), MaxValueValidator(MOST)], help_text="In its own unit."
    )
    how = models.CharField("how it came", max_length=9, choices=How, default=How.HAND)
    reset = models.BooleanField(
        "counts anew from here",
        default=False,
        help_text="The meter was replaced or set back since the reading before.",
    )
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)

    history = Kept()

    class Meta:
        verbose_name = "meter reading"
        constraints = (
            models.UniqueConstraint(fields=["meter", "read_at"], name="meter_reading_once"),
            models.CheckConstraint(condition=Q(value__gte=0, value__lte=MOST), name="meter_reading_value"),
        )

    def __str__(self) -> str:
        return f"{self.value:,.10g} at {self.read_at:%Y-%m-%d %H:%M}"


class MeterBill(TenantModel):
    """What a bill says was used from its first to its last day, both included, in the meter's unit."""

    company_path = "meter__site__client__company"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="bills", db_index=False)
    first = models.DateField("first day")
    last = models.DateField("last day")
    used = models.FloatField(
        validators=[MinValueValidator(0.0), MaxValueValidator(MOST)], help_text="In the meter's unit."
    )
    charged = models.DecimalField(
        "charged for it",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    noted_at = models.DateTimeField(default=timezone.now)

    history = Kept()

    class Meta:
        verbose_name = "meter bill"
        constraints = (
            models.UniqueConstraint(fields=["meter", "first"], name="meter_bill_once"),
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="meter_bill_days_in_order"),
            models.CheckConstraint(condition=Q(used__gte=0, used__lte=MOST), name="meter_bill_used"),
        )

    def __str__(self) -> str:
        return f"{self.used:,.10g} from {self.first} to {self.last}"

    def clean(self) -> None:
        if self.first and self.last and self.last < self.first:
            raise ValidationError({"last": "The last day is before the first."})


class MeterHour(TenantModel):
    """What a meter's interface says was used in an hour, or in whatever minutes it counts by."""

    company_path = "meter__site__client__company"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="hours", db_index=False)
    begins_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField(
        default=60, validators=[MinValueValidator(1), MaxValueValidator(MOST_MINUTES)]
    )
    used_l = models.FloatField("litres used", validators=[MinValueValidator(0.0), MaxValueValidator(MOST)])

    class Meta:
        verbose_name = "hour of a meter"
        verbose_name_plural = "hours of meters"
        constraints = (
            models.UniqueConstraint(fields=["meter", "begins_at"], name="meter_hour_once"),
            models.CheckConstraint(
                condition=Q(minutes__gte=1, minutes__lte=MOST_MINUTES), name="meter_hour_minutes"
            ),
            models.CheckConstraint(condition=Q(used_l__gte=0), name="meter_hour_used"),
        )

    def __str__(self) -> str:
        return f"{self.used_l:,.10g} L in {self.minutes} min from {self.begins_at:%Y-%m-%d %H:%M}"


class MeterFile(TenantModel):
    """A table somebody brought for a meter, until it is taken or forgotten; nothing of it counts before."""

    company_path = "meter__site__client__company"

    meter = models.ForeignKey(Meter, models.CASCADE, related_name="files")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    name = models.CharField(max_length=200, blank=True)
    content = models.BinaryField()
    said = models.JSONField("what its columns mean", default=dict)
    brought_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name = "file of a meter"
        verbose_name_plural = "files of meters"
        constraints = (models.UniqueConstraint(fields=["meter", "by"], name="meter_file_once_a_person"),)

    def __str__(self) -> str:
        return self.name or "pasted rows"
