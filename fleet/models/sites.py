"""Places that are watered, and the water they are watered with."""

from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from common import clock
from fleet.history import Kept
from fleet.models.clients import Client
from fleet.models.rules import Town, WateringRule
from fleet.models.tariffs import Tariff
from fleet.numerics.hydraulics import PIPE_NAMES
from fleet.tenancy import TenantModel


def known_timezone(name: str) -> None:
    """Refuse a time zone this machine can't find."""
    if name not in available_timezones():
        raise ValidationError(f"{name} is not a time zone; write one such as America/Denver.")


class Site(TenantModel):
    """One property of a client."""

    company_path = "client__company"
    client_path = "client"

    class Season(models.TextChoices):
        CLOSED = "closed", "closed"
        OPENING = "opening", "opening"
        OPEN = "open", "open"
        CLOSING = "closing", "closing"

    class HeightBasis(models.TextChoices):
        MEASURED = "measured", "measured"
        TABLE = "table", "from the weather source"
        ASSUMED = "assumed", "assumed"

    client = models.ForeignKey(Client, models.CASCADE, related_name="sites")
    name = models.CharField(max_length=120)
    address = models.CharField(max_length=200, blank=True)
    latitude = models.FloatField(validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(validators=[MinValueValidator(-180), MaxValueValidator(180)])
    elevation_m = models.FloatField(validators=[MinValueValidator(-430), MaxValueValidator(6000)])
    elevation_basis = models.CharField(
        "how the height is known", max_length=8, choices=HeightBasis, default=HeightBasis.MEASURED
    )
    timezone = models.CharField(max_length=64, validators=[known_timezone])
    cell = models.ForeignKey(
        "weather.WeatherCell", models.PROTECT, null=True, blank=True, related_name="sites"
    )
    season = models.CharField(max_length=8, choices=Season, default=Season.OPEN)
    watering_rule = models.ForeignKey(
        WateringRule, models.SET_NULL, null=True, blank=True, related_name="sites"
    )
    town = models.ForeignKey(
        Town,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="sites",
        help_text="Its stage decides then, not the rule above.",
    )
    kind = models.CharField(
        "kind of site",
        max_length=40,
        blank=True,
        help_text="As a town's rules name it, such as shared grounds.",
    )
    house_number = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MaxValueValidator(1_000_000)],
        help_text="For rules by odd and even addresses. Empty: the number the address gives.",
    )
    tariff = models.ForeignKey(Tariff, models.SET_NULL, null=True, blank=True, related_name="sites")
    balance_from = models.DateField(
        "soil water counted from",
        null=True,
        blank=True,
        help_text="The day the soil water account starts; set by the first night and then kept.",
    )

    history = Kept()

    class Meta:
        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(fields=["client", "name"], name="site_name_once"),
            models.CheckConstraint(condition=Q(latitude__gte=-90, latitude__lte=90), name="site_latitude"),
            models.CheckConstraint(
                condition=Q(longitude__gte=-180, longitude__lte=180), name="site_longitude"
            ),
            models.CheckConstraint(
                condition=Q(season__in=["closed", "opening", "open", "closing"]), name="site_season"
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def under(self) -> str:
        """Return what it is under tonight: its rule, or its town and the stage in force."""
        if self.town_id is None or self.town is None:
            return str(self.watering_rule or "")
        return f"{self.town}, stage {self.town.stage_on(clock.today(self.timezone))}"

    def clean(self) -> None:
        if self.client_id is None:
            return
        for field in ("watering_rule", "town", "tariff"):
            row = getattr(self, field)
            if row is not None and row.company_id != self.client.company_id:
                raise ValidationError({field: "This belongs to another company."})


class WaterSource(TenantModel):
    """A tap, well or pump that one or several controllers share."""

    company_path = "site__client__company"
    client_path = "site__client"

    class Kind(models.TextChoices):
        POTABLE = "potable", "drinking water"
        RECLAIMED = "reclaimed", "reclaimed water"
        WELL = "well", "well"

    site = models.ForeignKey(Site, models.CASCADE, related_name="water_sources")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.POTABLE)
    flow_l_min = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(100_000)]
    )
    static_pressure_kpa = models.FloatField(
        "pressure with nothing running",
        null=True,
        blank=True,
        validators=[MinValueValidator(10), MaxValueValidator(2_500)],
    )
    pipe = models.CharField("main pipe", max_length=24, blank=True, choices=PIPE_NAMES)

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="water_source_name_once"),
            models.CheckConstraint(
                condition=Q(flow_l_min=None) | Q(flow_l_min__gt=0), name="water_source_flow"
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["potable", "reclaimed", "well"]), name="water_source_kind"
            ),
        )

    def __str__(self) -> str:
        return self.name
