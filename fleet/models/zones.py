"""Zones as surveyed: what grows there, on what, under which heads."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.controllers import Controller
from fleet.numerics.heads import HEADS
from fleet.numerics.hydraulics import PIPE_NAMES
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS
from fleet.numerics.sun import SUNS
from fleet.tenancy import TenantModel

BASES = ("measured", "table", "assumed")
SURVEYED = (
    "plant",
    "head",
    "soil",
    "slope_percent",
    "sun",
    "area_m2",
    "root_depth_mm",
    "wetted_share",
    "precipitation_rate_mm_h",
    "uniformity",
    "flow_l_min",
)


def _keys(table: dict[str, Any]) -> list[tuple[str, str]]:
    return [(key, row.name) for key, row in table.items()]


def empty_basis() -> dict[str, str]:
    """Return the basis of a zone nobody has said anything about."""
    return {}


class Zone(TenantModel):
    """One valve and what it waters. Empty survey fields are unknown, never guessed.

    ``basis`` says for each surveyed field whether it was measured, taken from a table or assumed.
    """

    company_path = "controller__site__client__company"
    client_path = "controller__site__client"

    controller = models.ForeignKey(Controller, models.CASCADE, related_name="zones")
    number = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(999)])
    name = models.CharField(max_length=80)
    plant = models.CharField(max_length=20, blank=True, choices=_keys(PLANTS))
    head = models.CharField(max_length=20, blank=True, choices=_keys(HEADS))
    soil = models.CharField(max_length=20, blank=True, choices=_keys(SOILS))
    slope_percent = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    sun = models.CharField(max_length=12, blank=True, choices=_keys(SUNS))
    area_m2 = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(1_000_000)]
    )
    root_depth_mm = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(3_000)]
    )
    wetted_share = models.FloatField(
        default=1.0, validators=[MinValueValidator(0.05), MaxValueValidator(1.0)]
    )
    precipitation_rate_mm_h = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(500)]
    )
    uniformity = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(1)]
    )
    flow_l_min = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(10_000)]
    )
    pipe = models.CharField("pipe from the valve", max_length=24, blank=True, choices=PIPE_NAMES)
    basis = models.JSONField(default=empty_basis, blank=True)

    history = Kept()

    class Meta:
        ordering = ("controller", "number")
        constraints = (
            models.UniqueConstraint(fields=["controller", "number"], name="zone_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="zone_number"),
            models.CheckConstraint(condition=Q(area_m2=None) | Q(area_m2__gt=0), name="zone_area"),
            models.CheckConstraint(
                condition=Q(root_depth_mm=None) | Q(root_depth_mm__gt=0), name="zone_root_depth"
            ),
            models.CheckConstraint(
                condition=Q(wetted_share__gt=0, wetted_share__lte=1), name="zone_wetted_share"
            ),
            models.CheckConstraint(
                condition=Q(uniformity=None) | Q(uniformity__gt=0, uniformity__lte=1), name="zone_uniformity"
            ),
            models.CheckConstraint(
                condition=Q(precipitation_rate_mm_h=None) | Q(precipitation_rate_mm_h__gt=0), name="zone_rate"
            ),
            models.CheckConstraint(
                condition=Q(slope_percent=None) | Q(slope_percent__gte=0, slope_percent__lte=100),
                name="zone_slope",
            ),
            models.CheckConstraint(condition=Q(flow_l_min=None) | Q(flow_l_min__gt=0), name="zone_flow"),
        )

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    def clean(self) -> None:
        if not isinstance(self.basis, dict):
            raise ValidationError({"basis": "Write the basis as field and word."})
        for field, word in self.basis.items():
            if field not in SURVEYED or word not in BASES:
                raise ValidationError({"basis": f"{field}: {word} is not one of {', '.join(BASES)}."})
