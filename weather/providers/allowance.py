"""A source's allowance: counted before anything is sent, and never used up entirely."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from weather.models import SourceUsage
from weather.providers.errors import Throttled

# The rest is for whatever else runs behind the same address, and for counting a little differently.
SHARE_USED: Final = 0.8
KEPT_DAYS: Final = 7


def window_start(window: str, now: datetime) -> datetime:
    """Return when the clock window that ``now`` lies in began (the windows follow the clock, in UTC)."""
    start = now.replace(second=0, microsecond=0)
    if window == "minute":
        return start
    return start.replace(minute=0) if window == "hour" else start.replace(hour=0, minute=0)


def window_end(window: str, now: datetime) -> datetime:
    """Return when the clock window that ``now`` lies in is over and the counter starts again."""
    length = {"minute": timedelta(minutes=1), "hour": timedelta(hours=1), "day": timedelta(days=1)}[window]
    return window_start(window, now) + length


@dataclass(kw_only=True)
class Allowance:
    """What may be asked of one source per minute, hour and day, in its own weights; 0 is without limit."""

    source: str
    limits: Mapping[str, float]
    now: Callable[[], datetime] = timezone.now

    def largest_request(self) -> float:
        """Return the greatest weight one request should have."""
        limits = [limit for limit in self.limits.values() if limit]
        return min(limits) * SHARE_USED if limits else float("inf")

    def take(self, weight: float) -> list[int]:
        """Count ``weight`` in every window and return the rows it was counted in.

        If it doesn't fit, raise Throttled with the moment it will, and count nothing.
        """
        now = self.now()
        with transaction.atomic():
            return [self._count(window, weight, now=now) for window in ("day", "hour", "minute")]

    def give_back(self, taken: list[int], weight: float) -> None:
        """Take ``weight`` off the rows again: the source turned the request down, which costs less."""
        SourceUsage.objects.filter(pk__in=taken, weight__gte=weight).update(weight=F("weight") - weight)

    def _count(self, window: str, weight: float, *, now: datetime) -> int:
        limit = self.limits.get(window, 0)
        start = window_start(window, now)
        row, new = SourceUsage.objects.get_or_create(source=self.source, window=window, window_start=start)
        if new and window == "day":
            old = start - timedelta(days=KEPT_DAYS)
            SourceUsage.objects.filter(source=self.source, window_start__lt=old).delete()
        rows = SourceUsage.objects.filter(pk=row.pk)
        if limit:
            # One request bigger than the allowance still goes out alone: the source counts it afterwards.
            rows = rows.filter(Q(weight__lte=limit * SHARE_USED - weight) | Q(weight=0))
        if not rows.update(weight=F("weight") + weight):
            raise Throttled(
                f"own_{window}_limit",
                f"This {window}'s allowance for {self.source} is used up; the rest follows later.",
                retry_at=window_end(window, now),
            )
        return row.pk
