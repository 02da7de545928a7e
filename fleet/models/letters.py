"""E-mails as rows: written once, claimed before they are handed over, kept as they were sent."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from fleet.models.clients import Client
from fleet.models.companies import Company
from fleet.tenancy import TenantModel


class Letter(TenantModel):
    """One e-mail to one person. ``key`` names what it is about, so that nothing is written twice.

    A letter that was being handed over when something broke is unsure: nobody knows whether it arrived, and a
    person decides.
    """

    company_path = "company"

    class Kind(models.TextChoices):
        OPENING_PACK = "opening_pack", "pack for opening access"
        OPENING = "opening", "invitation to read"
        SUMMARY = "summary", "monthly summary"
        ANSWER = "answer", "answer to a note"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENDING = "sending", "being handed over"
        SENT = "sent", "sent"
        UNSURE = "unsure", "unsure whether it arrived"
        FAILED = "failed", "not sent"
        STOPPED = "stopped", "stopped by a person"

    company = models.ForeignKey(Company, models.CASCADE, related_name="letters")
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="letters")
    kind = models.CharField(max_length=14, choices=Kind)
    key = models.CharField(max_length=120)
    to = models.EmailField("to", max_length=254)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    not_before = models.DateTimeField("not before", default=timezone.now)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_attempt_at = models.DateTimeField(default=timezone.now)
    claimed_at = models.DateTimeField(null=True, blank=True)
    claimed_by = models.CharField("process that hands it over", max_length=120, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    error = models.CharField("what went wrong", max_length=300, blank=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    written_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ("-id",)
        indexes = (
            models.Index(
                fields=["next_attempt_at"], condition=Q(state__in=["waiting", "sending"]), name="letter_due"
            ),
        )
        constraints = (
            models.UniqueConstraint(fields=["company", "key"], name="letter_once"),
            models.CheckConstraint(
                condition=Q(state="sent", sent_at__isnull=False) | (~Q(state="sent") & Q(sent_at=None)),
                name="letter_sent_when_it_says_so",
            ),
            models.CheckConstraint(
                condition=~Q(state="sending") | Q(claimed_at__isnull=False),
                name="letter_claimed_when_sending",
            ),
        )

    def __str__(self) -> str:
        return f"{self.subject}, to {self.to}"


class LetterFile(TenantModel):
    """A file that goes with a letter, as it was when the letter was written."""

    company_path = "letter__company"

    letter = models.ForeignKey(Letter, models.CASCADE, related_name="files")
    name = models.CharField(max_length=120)
    content_type = models.CharField(max_length=60, default="application/pdf")
    content = models.BinaryField()
    shown_as = models.CharField("name in the letter's own text", max_length=40, blank=True)

    def __str__(self) -> str:
        return self.name
