"""A night on the clock: local times as minutes that really pass from noon, also when the clock jumps."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

NOON = time(12, 0)
A_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class NightClock:
    """The night of ``night``, from its noon to the next, in a time zone."""

    night: date
    timezone: str

    @cached_property
    def _zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)

    @cached_property
    def begins(self) -> datetime:
        """Return the noon it begins at."""
        return datetime.combine(self.night, NOON, tzinfo=self._zone)

    @cached_property
    def _from(self) -> datetime:
        return self.begins.astimezone(UTC)

    @cached_property
    def ends(self) -> datetime:
        """Return the noon it ends at."""
        return datetime.combine(self.night + timedelta(days=1), NOON, tzinfo=self._zone)

    @property
    def minutes(self) -> float:
        """Return how long it really lasts: 1,440 minutes, an hour less or more when the clock changes."""
        return self.minute_of(self.ends)

    def day_of(self, at: time) -> date:
        """Return the date on which a time of day falls in this night."""
        return self.night if at >= NOON else self.night + timedelta(days=1)

    def minute_of(self, moment: datetime) -> float:
        """Return the minutes that have passed since noon."""
        return (moment.astimezone(UTC) - self._from) / A_MINUTE

    def moment(self, minute: float) -> datetime:
        """Return the local time, with its offset, so many minutes after noon, to the second."""
        passed = self._from + timedelta(seconds=round(minute * 60))
        return passed.astimezone(self._zone)

    def start(self, at: time) -> datetime:
        """Return when a controller's clock shows a time of day in this night.

        A time the clock jumps over is the moment it jumps; of one it shows twice, the first.
        """
        wanted = datetime.combine(self.day_of(at), at, tzinfo=self._zone)
        return self._jump_before(wanted) if self.jumped_over(at) else wanted

    def jumped_over(self, at: time) -> bool:
        """Tell whether the clock never shows this time in this night."""
        wanted = datetime.combine(self.day_of(at), at, tzinfo=self._zone)
        return wanted.astimezone(UTC).astimezone(self._zone).replace(tzinfo=None) != wanted.replace(
            tzinfo=None
        )

    def shown_twice(self, at: time) -> bool:
        """Tell whether the clock shows this time twice in this night."""
        first = datetime.combine(self.day_of(at), at, tzinfo=self._zone)
        return first.utcoffset() != first.replace(fold=1).utcoffset() and not self.jumped_over(at)

    def _jump_before(self, wanted: datetime) -> datetime:
        # In the gap, fold 1 counts with the later offset: the difference of both is the length of the jump.
        before, after = (wanted.replace(fold=fold).utcoffset() for fold in (0, 1))
        assert before is not None
        assert after is not None
        late = wanted.astimezone(UTC)  # so much after the jump as ``wanted`` lies in the gap
        for minutes in range(int((after - before).total_seconds() // 60) + 1):
            moment = late - timedelta(minutes=minutes)
            if (moment - timedelta(minutes=1)).astimezone(self._zone).utcoffset() == before:
                return moment.astimezone(self._zone)
        return wanted
