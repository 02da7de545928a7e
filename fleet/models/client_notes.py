"""What a client's person wrote to the contractor about a site, and what became of it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from fleet.history import Kept
from fleet.models.sites import Site
from fleet.tenancy import TenantModel

LONGEST_WORDS = 1000


class ClientNote(TenantModel):
    """A note from a client, with the days their site should stay dry where they named any.

    ``dry_from`` and ``dry_to`` are civil days at the site, both included. ``granted`` means that nights were
    left out for it: the changes that do it are the note's ``changes``.
    """

    company_path = "site__client__company"
    client_path = "site__client"

    class Status(models.TextChoices):
        WAITING = "waiting", "waiting"
        ANSWERED = "answered", "answered"
        GRANTED = "granted", "nights left out"
        WITHDRAWN = "withdrawn", "withdrawn"

    site = models.ForeignKey(Site, models.CASCADE, related_name="client_notes")
    words = models.TextField(max_length=LONGEST_WORDS)
    dry_from = models.DateField("no water from", null=True, blank=True)
    dry_to = models.DateField("no water to", null=True, blank=True)
    status = models.CharField(max_length=9, choices=Status, default=Status.WAITING)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    written_at = models.DateTimeField(default=timezone.now, editable=False)
    answer = models.TextField(max_length=LONGEST_WORDS, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    history = Kept()

    class Meta:
        verbose_name = "note from a client"
        verbose_name_plural = "notes from clients"
        ordering = ("-id",)
        indexes = (
            models.Index(fields=["written_at"], condition=Q(status="waiting"), name="client_note_waiting"),
        )
        constraints = (
            models.CheckConstraint(
                condition=Q(dry_from=None, dry_to=None)
                | Q(dry_from__isnull=False, dry_to__isnull=False, dry_to__gte=F("dry_from")),
                name="client_note_days_in_order",
            ),
            models.CheckConstraint(
                condition=Q(status__in=["answered", "granted"], answered_at__isnull=False)
                | Q(status__in=["waiting", "withdrawn"], answered_at=None),
                name="client_note_answered_when_it_says_so",
            ),
        )

    def __str__(self) -> str:
        line = " ".join(self.words.split())
        return line if len(line) <= 60 else f"{line[:59]}…"
