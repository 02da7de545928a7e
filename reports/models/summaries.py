"""A client's month in figures, as it was made, approved and sent."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models import Client, Letter
from fleet.tenancy import TenantModel


def no_figures() -> dict[str, Any]:
    """Return the figures of a summary nobody has made yet."""
    return {}


TOLD_APART = ("empty", "adequacy")


def told_apart(figures: dict[str, Any]) -> dict[str, Any]:
    """Return what stands in columns of its own beside the figures, so that lists needn't read those."""
    return {"empty": str(figures.get("empty") or "")[:200], "adequacy": figures.get("adequacy")}


class Summary(TenantModel):
    """One month of one client. A draft's figures are made anew; approved, they stay as they are.

    What went out, and to whom, is in ``letters``. ``empty`` and ``adequacy`` are those of the figures.
    """

    company_path = "client__company"  # readers are shown what was sent, see reports/selectors/summary/sent.py

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        HELD = "held", "held back"
        APPROVED = "approved", "approved"

    client = models.ForeignKey(Client, models.CASCADE, related_name="summaries")
    month = models.DateField("first day of the month")
    state = models.CharField(max_length=8, choices=State, default=State.DRAFT)
    figures = models.JSONField(default=no_figures)
    empty = models.CharField("nothing to tell because", max_length=200, blank=True, editable=False)
    adequacy = models.FloatField("need met", null=True, blank=True, editable=False)
    remark = models.TextField("your own words to the client", max_length=1200, blank=True)
    held_because = models.CharField("held back because", max_length=200, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    approved_at = models.DateTimeField(null=True, blank=True)
    approved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    letters = models.ManyToManyField(Letter, through="SummaryLetter", related_name="summaries")

    history = Kept(leave_out=("figures", *TOLD_APART))

    class Meta:
        ordering = ("-month", "client__name")
        verbose_name_plural = "summaries"
        constraints = (
            models.UniqueConstraint(fields=["client", "month"], name="summary_once"),
            models.CheckConstraint(condition=Q(month__day=1), name="summary_month_begins"),
            models.CheckConstraint(
                condition=Q(state="approved", approved_at__isnull=False)
                | (~Q(state="approved") & Q(approved_at=None)),
                name="summary_approved_when_it_says_so",
            ),
        )

    def __str__(self) -> str:
        return f"{self.client}, {self.month:%Y-%m}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if "figures" not in self.get_deferred_fields():
            for name, value in told_apart(self.figures).items():
                setattr(self, name, value)
        super().save(*args, **kwargs)


class SummaryLetter(TenantModel):
    """A letter a summary went out by."""

    company_path = "summary__client__company"

    summary = models.ForeignKey(Summary, models.CASCADE, related_name="+")
    letter = models.OneToOneField(Letter, models.CASCADE, related_name="+")

    def __str__(self) -> str:
        return f"{self.summary} by {self.letter}"


class SummaryPaper(TenantModel):
    """The PDF of an approved summary, as it was sent."""

    company_path = "summary__client__company"

    summary = models.OneToOneField(Summary, models.CASCADE, related_name="paper")
    content = models.BinaryField()

    def __str__(self) -> str:
        return f"paper of {self.summary}"


class SummaryStop(TenantModel):
    """A client who gets no summaries until somebody says otherwise."""

    company_path = "client__company"

    client = models.OneToOneField(Client, models.CASCADE, related_name="summary_stop")
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    since = models.DateTimeField(auto_now_add=True)

    history = Kept()

    def __str__(self) -> str:
        return f"no summaries for {self.client}: {self.reason}"
