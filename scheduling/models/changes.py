"""What the service proposes and what people decide."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from fleet.models import ClientNote, Zone
from fleet.tenancy import TenantModel
from scheduling.models.detail import Detail, read_detail
from scheduling.models.programs import Program

WISH = "wish_skip"
SKIPS = ("rain_skip", "freeze_skip", "wind_skip", WISH)
ALTERATIONS = ("minutes", "days", "program")


def nothing() -> dict[str, Any]:
    """Return the inputs of a change nobody has computed."""
    return {}


class Change(TenantModel):
    """A proposed percent, skip, or alteration of a program, and its life.

    ``whole_controller`` says that one percent serves all programs of the controller; the change then hangs on
    the first of them. ``inputs`` holds what the decision was made from, enough to compute it again.

    A ``wish_skip`` leaves nights out because a client asked for dry days in ``client_note``.

    Alterations (minutes, days, program) say in ``detail`` what their programs hold before and after (see
    ``scheduling/models/detail.py``); one that moves a zone hangs on the program the zone leaves. ``current``
    and ``proposed`` are percents for every kind: for an alteration its program's, before and after.
    """

    company_path = "program__controller__site__client__company"

    class Kind(models.TextChoices):
        PERCENT = "percent", "percent"
        RAIN_SKIP = "rain_skip", "rain skip"
        FREEZE_SKIP = "freeze_skip", "freeze skip"
        WIND_SKIP = "wind_skip", "wind skip"
        WISH_SKIP = WISH, "skip as the client wished"
        MINUTES = "minutes", "minutes"
        DAYS = "days", "watering days"
        PROGRAM = "program", "program"

    class Status(models.TextChoices):
        PENDING = "pending", "waiting for a decision"
        APPROVED = "approved", "approved, not yet entered"
        APPLIED = "applied", "entered"
        DECLINED = "declined", "declined"
        SUPERSEDED = "superseded", "replaced by a later one"
        EXPIRED = "expired", "too late"

    program = models.ForeignKey(Program, models.CASCADE, related_name="changes")
    whole_controller = models.BooleanField(default=False)
    kind = models.CharField(max_length=12, choices=Kind)
    status = models.CharField(max_length=10, choices=Status, default=Status.PENDING)
    current = models.PositiveSmallIntegerField("percent now", null=True, blank=True)
    proposed = models.PositiveSmallIntegerField("percent proposed", null=True, blank=True)
    decided = models.PositiveSmallIntegerField("percent decided", null=True, blank=True)
    detail = models.JSONField("what is keyed in, before and after", null=True, blank=True)
    effective_from = models.DateField("from the night of")
    effective_to = models.DateField("to the night of", null=True, blank=True)
    reason = models.CharField(max_length=500)
    effect_litres = models.FloatField("water in the coming week", null=True, blank=True)
    effect_money = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    risk_keep = models.CharField("plants if kept", max_length=120, blank=True)
    risk_change = models.CharField("plants if changed", max_length=120, blank=True)
    risk_keep_level = models.PositiveSmallIntegerField(default=0)
    risk_change_level = models.PositiveSmallIntegerField(default=0)
    deciding_zone = models.ForeignKey(Zone, models.SET_NULL, null=True, blank=True, related_name="+")
    hints = models.JSONField(default=list, blank=True)
    client_note = models.ForeignKey(
        ClientNote, models.SET_NULL, null=True, blank=True, related_name="changes"
    )
    inputs = models.JSONField(default=nothing)
    run = models.ForeignKey(
        "scheduling.NightlyRun", models.SET_NULL, null=True, blank=True, related_name="changes"
    )
    automatic = models.BooleanField("approved by policy", default=False)
    decided_by = models.ForeignKey("fleet.User", models.SET_NULL, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    applied_at = models.DateTimeField(null=True, blank=True)
    applied_on = models.DateField("in force from the night of", null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-id",)
        indexes = (models.Index(fields=["status", "kind"], name="change_status_kind"),)
        constraints = (
            models.UniqueConstraint(
                fields=["program", "kind"], condition=Q(status="pending"), name="change_one_pending"
            ),
            models.CheckConstraint(
                condition=(
                    Q(status="pending", decided_at=None, applied_at=None)
                    | Q(status="approved", decided_at__isnull=False, applied_at=None)
                    | Q(status="applied", decided_at__isnull=False, applied_at__isnull=False)
                    | Q(status="declined", decided_at__isnull=False, applied_at=None)
                    | Q(status__in=["superseded", "expired"], applied_at=None)
                ),
                name="change_times_agree_with_status",
            ),
            models.CheckConstraint(
                condition=Q(kind="percent", proposed__isnull=False, detail__isnull=True)
                | Q(kind__in=SKIPS, effective_to__isnull=False, detail__isnull=True)
                | Q(kind__in=ALTERATIONS, proposed__isnull=False, detail__isnull=False, decided=None),
                name="change_kind_has_its_value",
            ),
            models.CheckConstraint(
                condition=~Q(kind="percent", status__in=["approved", "applied"]) | Q(decided__isnull=False),
                name="change_decided_has_its_value",
            ),
            models.CheckConstraint(
                condition=Q(effective_to=None) | Q(effective_to__gte=models.F("effective_from")),
                name="change_nights_in_order",
            ),
        )

    def __str__(self) -> str:
        if self.kind == self.Kind.PERCENT:
            return f"{self.program}: {self.current} % to {self.proposed} %"
        if self.is_alteration:
            return f"{self.program}: {self.get_kind_display()} from {self.effective_from}"
        return f"{self.program}: {self.get_kind_display()} on {self.effective_from}"

    def clean(self) -> None:
        if self.is_alteration:
            read_detail(self.detail)

    @property
    def is_percent(self) -> bool:
        """Tell whether this moves a percent alone."""
        return self.kind == self.Kind.PERCENT

    @property
    def is_skip(self) -> bool:
        """Tell whether this leaves nights out."""
        return self.kind in SKIPS

    @property
    def is_wish(self) -> bool:
        """Tell whether this leaves nights out because the client asked for it."""
        return self.kind == WISH

    @property
    def is_alteration(self) -> bool:
        """Tell whether this alters what programs hold: minutes, days, zones, starts."""
        return self.kind in ALTERATIONS

    @property
    def altered(self) -> Detail:
        """Return what an alteration would key in; ValidationError where nothing or nonsense is stored."""
        return read_detail(self.detail)


class ChangeEvent(TenantModel):
    """One step in a change's life. Rows are only ever added."""

    company_path = "change__program__controller__site__client__company"

    change = models.ForeignKey(Change, models.CASCADE, related_name="events")
    from_status = models.CharField(max_length=10, blank=True)
    to_status = models.CharField(max_length=10)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    value = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return f"{self.from_status or 'new'} to {self.to_status}"


class Delivery(TenantModel):
    """How an approved change gets to its controller."""

    company_path = "change__program__controller__site__client__company"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        DONE = "done", "done"
        WITHDRAWN = "withdrawn", "withdrawn"
        FAILED = "failed", "failed"

    change = models.ForeignKey(Change, models.CASCADE, related_name="deliveries")
    channel = models.CharField(max_length=20)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_attempt_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name_plural = "deliveries"
        constraints = (models.UniqueConstraint(fields=["change", "channel"], name="delivery_channel_once"),)

    def __str__(self) -> str:
        return f"{self.change_id} by {self.channel}: {self.state}"
