"""Setting a site up: what is written down before anything real is made, and kinds of zones to begin with."""

from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from fleet.history import Kept
from fleet.models.companies import Company
from fleet.models.sites import Site
from fleet.numerics.heads import HEADS
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS
from fleet.numerics.sun import SUNS
from fleet.tenancy import TenantModel


def nothing_said() -> dict[str, Any]:
    """Return the data of a draft nobody has written anything into."""
    return {}


class SetUpDraft(TenantModel):
    """A site on its way: the texts as they were typed, part by part, until the site is created from them.

    ``data`` is ``{part: {"texts": ..., "page": ..., "nth": ...}}``; ``page`` and ``nth`` tell which open page
    wrote the part last. ``units`` are those the texts were typed in.
    """

    company_path = "company"  # the office's notes about a client, so not for clients

    company = models.ForeignKey(Company, models.CASCADE, related_name="set_up_drafts")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    title = models.CharField(max_length=160, blank=True)
    units = models.CharField(max_length=8, choices=Company.Units)
    data = models.JSONField(default=nothing_said, blank=True)
    step = models.CharField(max_length=12, default="client")
    version = models.PositiveIntegerField(default=1)
    started_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    site = models.ForeignKey(Site, models.SET_NULL, null=True, blank=True, related_name="set_up_drafts")

    class Meta:
        ordering = ("-updated_at",)
        verbose_name = "set-up draft"
        indexes = (models.Index(fields=["company", "-updated_at"], name="set_up_draft_latest"),)

    def __str__(self) -> str:
        return self.title or "a site without a name yet"


class ZonePreset(TenantModel):
    """A kind of zone a company often meets: what a row of the survey begins with."""

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="zone_presets")
    name = models.CharField(max_length=120)
    plant = models.CharField(max_length=20, choices=[(key, row.name) for key, row in PLANTS.items()])
    head = models.CharField(max_length=20, choices=[(key, row.name) for key, row in HEADS.items()])
    soil = models.CharField(max_length=20, choices=[(key, row.name) for key, row in SOILS.items()])
    sun = models.CharField(max_length=12, choices=[(key, row.name) for key, row in SUNS.items()])
    slope_percent = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(100)])
    root_depth_mm = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(3_000)]
    )
    precipitation_rate_mm_h = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(500)]
    )
    uniformity = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.1), MaxValueValidator(1)]
    )
    wetted_share = models.FloatField(
        default=1.0, validators=[MinValueValidator(0.05), MaxValueValidator(1.0)]
    )

    history = Kept()

    class Meta:
        ordering = ("pk",)
        verbose_name = "kind of zone"
        verbose_name_plural = "kinds of zones"
        constraints = (models.UniqueConstraint(fields=["company", "name"], name="zone_preset_name_once"),)

    def __str__(self) -> str:
        return self.name

    def as_zone(self) -> dict[str, Any]:
        """Return what a zone of this kind is set up with, tables filled in where the kind says nothing."""
        zone = {name: getattr(self, name) for name in KIND_FIELDS}
        return zone | {
            "root_depth_mm": self.root_depth_mm or PLANTS[self.plant].root_depth_mm.value,
            "uniformity": self.uniformity or HEADS[self.head].uniformity.value,
            "precipitation_rate_mm_h": self.precipitation_rate_mm_h or HEADS[self.head].rate_mm_h.value,
        }


KIND_FIELDS = (
    "plant",
    "head",
    "soil",
    "sun",
    "slope_percent",
    "root_depth_mm",
    "precipitation_rate_mm_h",
    "uniformity",
    "wetted_share",
)
# How a value that comes with a kind is known: plant and head were seen when it was picked; soil, slope and
# sun are only likely; the rest stands in a table.
KIND_BASIS = {
    "plant": "measured",
    "head": "measured",
    "soil": "assumed",
    "sun": "assumed",
    "slope_percent": "assumed",
    "root_depth_mm": "table",
    "precipitation_rate_mm_h": "table",
    "uniformity": "table",
    "wetted_share": "assumed",
}
