"""Open-Meteo: daily analysis, forecast and archive for any place on land.

Forecast ``/v1/forecast`` (92 days back, 16 ahead), archive ``/v1/archive`` (from 1940). Nine daily variables,
in units asked for explicitly and checked in the answer; wind at 10 m is brought to 2 m, humidity comes as the
mean dew point, whose vapour pressure is somewhat below the mean of the day's. Days before the morning asked
for are the model's analysis, or reanalysis where they come from the archive; the others are forecast.
Temperature is moved to the cell's height by the source, the rest is not. With ``hours`` four hourly variables
are asked for in the same requests, which then weigh 1.3 times as much.

Data: CC BY 4.0, "Weather data by Open-Meteo.com", a link beside shown data. The free address is for
non-commercial use only; with a key, the address must be the customers' one. Both are settings.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Final, Self

from django.conf import settings
from django.utils import timezone

from weather.models import Quality, WeatherCell
from weather.providers.allowance import Allowance
from weather.providers.asking import Asker
from weather.providers.base import Answer
from weather.providers.open_meteo.answers import Stretch
from weather.providers.open_meteo.pull import Pull
from weather.providers.open_meteo.refusals import refusal

# The forecast's address reaches this far back.
REACH_BACK_DAYS: Final = 92


@dataclass(kw_only=True)
class OpenMeteo:
    """The adapter. ``sleep`` and ``now`` can be replaced so that waiting can be tested."""

    url: str
    archive_url: str
    key: str = ""
    batch: int = 200
    hours: bool = False
    limits: dict[str, int] = field(default_factory=dict)
    sleep: Callable[[float], None] = time.sleep
    now: Callable[[], datetime] = timezone.now
    name: str = "open-meteo"
    foresees_any_morning: bool = False

    @classmethod
    def from_settings(cls) -> Self:
        """Return the adapter as this installation has set it up."""
        return cls(
            url=settings.OPEN_METEO_URL,
            archive_url=settings.OPEN_METEO_ARCHIVE_URL,
            key=settings.OPEN_METEO_KEY,
            batch=settings.OPEN_METEO_BATCH,
            hours=settings.OPEN_METEO_HOURS,
            limits=settings.OPEN_METEO_LIMITS,
        )

    def fetch(self, cells: Sequence[WeatherCell], *, first: date, last: date, on: date) -> Answer:
        """Return the days from ``first`` to ``last`` as known on the morning of ``on``."""
        answer = Answer(source=self.name)
        pull = Pull(
            asker=self._asker(),
            answer=answer,
            archive_url=self.archive_url,
            batch=self.batch,
            hours=self.hours,
        )
        with pull.asker.session:
            for stretch in self._stretches(first, last, on):
                pull.run(cells, stretch)
        return answer

    def _stretches(self, first: date, last: date, on: date) -> list[Stretch]:
        newest_archived = min(last, on - timedelta(days=REACH_BACK_DAYS + 1))
        oldest_current = max(first, on - timedelta(days=REACH_BACK_DAYS))
        archive = Stretch(
            url=self.archive_url,
            first=first,
            last=newest_archived,
            on=on,
            past_quality=Quality.REANALYSIS.value,
        )
        current = Stretch(
            url=self.url, first=oldest_current, last=last, on=on, past_quality=Quality.ANALYSIS.value
        )
        return [stretch for stretch in (archive, current) if stretch.days > 0]

    def _asker(self) -> Asker:
        return Asker(
            allowance=Allowance(source=self.name, limits=self.limits, now=self.now),
            refusal=refusal,
            # In a header, never in the address: addresses end up in logs.
            headers={"X-Api-Key": self.key} if self.key else {},
            sleep=self.sleep,
            now=self.now,
        )
