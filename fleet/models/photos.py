"""Photos that technicians took in a garden, of a test of a zone or of something broken."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone

from fleet.history import Kept
from fleet.models.rounds import ZoneTest
from fleet.models.visits import Finding
from fleet.models.zones import Zone
from fleet.photo_files import forget_files
from fleet.tenancy import TenantModel

SMALL_SIDE = 320  # px


class Photo(TenantModel):
    """One photo, of a test or of a finding of a zone; its files go with the row.

    ``digest`` is that of the file as it was sent, so that the same photo sent twice is kept once. It has no
    ``client_path``: what technicians photograph is the company's alone.
    """

    company_path = "zone__controller__site__client__company"

    zone = models.ForeignKey(Zone, models.CASCADE, related_name="photos")
    test = models.ForeignKey(ZoneTest, models.CASCADE, null=True, blank=True, related_name="photos")
    finding = models.ForeignKey(Finding, models.CASCADE, null=True, blank=True, related_name="photos")
    note = models.CharField(max_length=200, blank=True)
    key = models.CharField(max_length=32, unique=True, editable=False)
    digest = models.CharField(max_length=64, editable=False)
    width = models.PositiveSmallIntegerField("width, px", editable=False)
    height = models.PositiveSmallIntegerField("height, px", editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField("added at", default=timezone.now)

    history = Kept()

    class Meta:
        ordering = ("at", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(test__isnull=False, finding=None) | Q(test=None, finding__isnull=False),
                name="photo_of_one_thing",
            ),
            models.UniqueConstraint(fields=["test", "digest"], name="photo_once_a_test"),
            models.UniqueConstraint(fields=["finding", "digest"], name="photo_once_a_finding"),
        )

    def __str__(self) -> str:
        return f"Photo of zone {self.zone}"

    def clean(self) -> None:
        if (self.test is None) == (self.finding is None):
            raise ValidationError("A photo is of a test or of a finding.")
        place: Any = self.test or self.finding
        if self.zone_id != place.zone_id:
            raise ValidationError({"zone": "That was at another zone."})

    @property
    def small_size(self) -> tuple[int, int]:
        """Return width and height of the thumbnail. [px]"""
        return shrunk(self.width, self.height, SMALL_SIDE)


def shrunk(width: int, height: int, side: int) -> tuple[int, int]:
    """Return a size with its longer side at ``side`` at the most, in proportion, a pixel at the least."""
    by = min(1.0, side / max(width, height))
    return max(1, round(width * by)), max(1, round(height * by))


@receiver(post_delete, sender=Photo)
def files_go_too(instance: Photo, **kwargs: Any) -> None:
    """Remove a photo's files once it is sure that its row is gone."""
    key = instance.key
    transaction.on_commit(lambda: forget_files(key))
