"""Pulling a morning's weather: ask the source, store what came, say plainly what didn't.

One cell's trouble never stops the others, and a second run finds everything done.
"""

import logging
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.db import DatabaseError, transaction
from django.utils import timezone as real_time

from common import clock
from weather.models import ForecastDay, ObservedDay, Quality, WeatherCell
from weather.providers import source_in_use
from weather.providers.base import Answer, CellWeather, DayWeather, Problem, Source
from weather.services.claims import claim, settle
from weather.services.forecasts import store_forecasts
from weather.services.gaps import first_days, still_missing
from weather.services.hours import by_hours
from weather.services.observed import forget, store_observed
from weather.services.reference_et import Key, fill_reference_et
from weather.services.reports import FetchReport

log = logging.getLogger(__name__)

# With the days re-read behind, one place still weighs no more than one request at the source.
DAYS_AHEAD: Final = 9
CELLS_AT_ONCE: Final = 100
PARTIAL_FLAG: Final = "hours missing"


@dataclass(frozen=True, kw_only=True)
class _Morning:
    on: date
    timezone: str
    issued_at: datetime
    source: Source
    anew: bool

    def forecast_quality(self, day: DayWeather) -> str:
        """Return a forecast's class: asked for a past morning, a source tells what it has learnt since."""
        real_today = real_time.now().astimezone(ZoneInfo(self.timezone)).date()
        if self.on < real_today and not self.source.foresees_any_morning:
            return Quality.ANALYSIS.value
        return day.quality


def fetch_due(
    *,
    on: date,
    timezone: str,
    cells: Sequence[WeatherCell] | None = None,
    first: date | None = None,
    issued_at: datetime | None = None,
    again: bool = False,
    anew: bool = False,
    source: Source | None = None,
) -> FetchReport:
    """Fetch what the morning of ``on`` needs: observed days before it, and the forecast from it on.

    Parameters
    ----------
    on, timezone
        The business day and the IANA zone it belongs to.
    cells
        The cells that are due; without it every cell of the time zone.
    first
        The earliest day to ask for; without it the last few days, and further back where days are missing.
    issued_at
        When the forecast counts as known; without it the moment a decision for ``on`` is made.
    again
        Ask although the cell's pull for ``on`` is done, e.g. for a fresh forecast in the afternoon.
    anew
        Let whatever comes replace what is stored, also where that is of a better class or entered by hand.
    source
        Another source than the installation's.
    """
    due = list(WeatherCell.objects.filter(timezone=timezone) if cells is None else cells)
    claimed = claim(cells=due, on=on, again=again)
    morning = _Morning(
        on=on,
        timezone=timezone,
        issued_at=issued_at or clock.moment(on, timezone),
        source=source or source_in_use(),
        anew=anew,
    )
    report = FetchReport(on=on, cells=len(due), already_done=len(due) - len(claimed))
    for since, group in _by_first_day(claimed, on=on, first=first).items():
        _pull(group, since=since, morning=morning, report=report)
    report.reference_et_filled = fill_reference_et(cells=due)
    return report


def _by_first_day(
    cells: Sequence[WeatherCell], *, on: date, first: date | None
) -> dict[date, list[WeatherCell]]:
    groups: dict[date, list[WeatherCell]] = defaultdict(list)
    since = {} if first else first_days(cells=cells, on=on)
    for cell in cells:
        groups[first or since[cell.pk]].append(cell)
    return groups


def _pull(cells: list[WeatherCell], *, since: date, morning: _Morning, report: FetchReport) -> None:
    answer = _asked(cells, since=since, morning=morning)
    for chunk in _chunks(cells):
        _store(chunk, answer=answer, morning=morning, report=report)
    answer.problems += still_missing(cells=cells, since=since, on=morning.on, problems=answer.problems)
    failed = settle(cells=cells, on=morning.on, problems=answer.problems, source=answer.source)
    report.done += len(cells) - len(failed)
    report.add_failures(failed)
    report.add_alerts(answer.source, answer.alerts)
    for alert in answer.alerts:
        log.error("%s: %s (%s)", answer.source, alert.message, alert.code)


def _asked(cells: list[WeatherCell], *, since: date, morning: _Morning) -> Answer:
    last = morning.on + timedelta(days=DAYS_AHEAD)
    try:
        return morning.source.fetch(cells, first=since, last=last, on=morning.on)
    except Exception:  # a source's fault must not end the night
        log.exception("The weather source %s failed in a way it shouldn't", morning.source.name)
    message = "Asking the weather source failed in a way it shouldn't; the log says more."
    return Answer(
        source=morning.source.name,
        problems=[Problem(cell_id=cell.pk, code="unexpected", message=message) for cell in cells],
    )


def _chunks(cells: list[WeatherCell]) -> Iterator[list[WeatherCell]]:
    for start in range(0, len(cells), CELLS_AT_ONCE):
        yield cells[start : start + CELLS_AT_ONCE]


def _store(cells: list[WeatherCell], *, answer: Answer, morning: _Morning, report: FetchReport) -> None:
    """Store a chunk in one transaction; if that fails, cell by cell, so that only the bad one is left out."""
    try:
        with transaction.atomic():
            observed, forecast = _stored(cells, answer=answer, morning=morning)
    except (DatabaseError, ValueError):
        if len(cells) == 1:
            log.exception("The weather of cell %s can't be stored", cells[0].pk)
            message = "The weather that came can't be stored; the log says more."
            answer.problems.append(Problem(cell_id=cells[0].pk, code="not_stored", message=message))
            return
        for cell in cells:
            _store([cell], answer=answer, morning=morning, report=report)
    else:
        report.observed_stored += observed
        report.forecast_stored += forecast


def _stored(cells: list[WeatherCell], *, answer: Answer, morning: _Morning) -> tuple[int, int]:
    observed: list[ObservedDay] = []
    foreseen: list[ForecastDay] = []
    hourly: dict[Key, float] = {}
    for cell in cells:
        for part in answer.cells.get(cell.pk, []):
            _note_grid_point(cell, part)
            hourly |= by_hours(cell, part)
            for day in part.days:
                if day.date < morning.on:
                    observed.append(_observed(cell, day, answer.source))
                elif not day.partial:
                    foreseen.append(_foreseen(cell, day, morning))
    if morning.anew:
        forget(observed)
    return (
        store_observed(days=observed, cells=cells, by_hours=hourly),
        store_forecasts(days=foreseen, cells=cells, by_hours=hourly),
    )


def _weather(day: DayWeather) -> dict[str, Any]:
    return {
        "date": day.date,
        "t_min_c": day.t_min_c,
        "t_max_c": day.t_max_c,
        "vapour_pressure_kpa": day.vapour_pressure_kpa,
        "wind_2m_m_s": day.wind_2m_m_s,
        "solar_radiation_mj_m2": day.solar_radiation_mj_m2,
        "rain_mm": day.rain_mm,
        "provider_et_mm": day.provider_et_mm,
        "flags": [PARTIAL_FLAG] if day.partial else [],
    }


def _observed(cell: WeatherCell, day: DayWeather, source: str) -> ObservedDay:
    return ObservedDay(cell=cell, source=source, quality=day.quality, **_weather(day))


def _foreseen(cell: WeatherCell, day: DayWeather, morning: _Morning) -> ForecastDay:
    return ForecastDay(
        cell=cell,
        issued_at=morning.issued_at,
        source=morning.source.name,
        quality=morning.forecast_quality(day),
        rain_probability=day.rain_probability,
        **_weather(day),
    )


def _note_grid_point(cell: WeatherCell, weather: CellWeather) -> None:
    """Keep which point of its own grid the source speaks of, and say so in the log if that has changed."""
    said = (weather.latitude, weather.longitude, weather.elevation_m)
    known = (cell.source_latitude, cell.source_longitude, cell.source_elevation_m)
    if said == known or said == (None, None, None):
        return
    if known != (None, None, None):
        log.warning("Cell %s: the source now speaks of another point of its grid", cell.pk)
    cell.source_latitude, cell.source_longitude, cell.source_elevation_m = said
    cell.save(update_fields=["source_latitude", "source_longitude", "source_elevation_m"])
