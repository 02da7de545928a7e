"""The rows that pulling weather runs from: what is due, what failed, how much a source was asked."""

from django.db import models
from django.db.models import Q

from weather.models.cells import WeatherCell


class FetchDay(models.Model):
    """The pull for one cell on the morning of ``date``. Retries run from here, with a broker or without."""

    class State(models.TextChoices):
        DUE = "due", "Due"
        DONE = "done", "Done"
        FAILED = "failed", "Failed, will be tried again"
        GIVEN_UP = "given_up", "Given up"

    company_path = None  # shared: pulling weather for a cell belongs to no company

    cell = models.ForeignKey(WeatherCell, on_delete=models.CASCADE, related_name="fetch_days")
    date = models.DateField(help_text="The morning the weather was wanted for.")
    state = models.CharField(max_length=8, choices=State.choices, default=State.DUE)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_attempt_at = models.DateTimeField(null=True, blank=True, help_text="Not before this moment.")
    code = models.CharField(max_length=40, blank=True, default="")
    message = models.CharField(max_length=300, blank=True, default="")
    source = models.CharField(max_length=40, blank=True, default="")

    class Meta:
        ordering = ["-date", "cell"]
        constraints = [
            models.UniqueConstraint(fields=["cell", "date"], name="weather_fetch_once"),
            models.CheckConstraint(
                condition=Q(state__in=["due", "done", "failed", "given_up"]), name="weather_fetch_state_known"
            ),
        ]
        indexes = [models.Index(fields=["state", "next_attempt_at"], name="weather_fetch_due")]

    def __str__(self) -> str:
        return f"{self.date} {self.state}"


class SourceUsage(models.Model):
    """What has been asked of a source in one clock window, in the source's own weights."""

    class Window(models.TextChoices):
        MINUTE = "minute", "Minute"
        HOUR = "hour", "Hour"
        DAY = "day", "Day"

    company_path = None  # shared: the allowance of a source is the installation's

    source = models.CharField(max_length=40)
    window = models.CharField(max_length=6, choices=Window.choices)
    window_start = models.DateTimeField()
    weight = models.FloatField(default=0)

    class Meta:
        ordering = ["-window_start", "source", "window"]
        constraints = [
            models.UniqueConstraint(fields=["source", "window", "window_start"], name="weather_usage_once"),
            models.CheckConstraint(condition=Q(weight__gte=0), name="weather_usage_not_negative"),
            models.CheckConstraint(
                condition=Q(window__in=["minute", "hour", "day"]), name="weather_usage_window"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.source} {self.window} {self.window_start:%Y-%m-%d %H:%M}"
