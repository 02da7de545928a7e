"""One site as it stands this morning: soil water zone by zone, tonight's programs, the weather around it."""

from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, timedelta

import numpy as np

from common import clock
from fleet.models import Site, SiteCorrection, SiteRain, Zone, ZoneCut
from fleet.selectors.site_rule import hours_of, rule_of
from scheduling.models import Program, Skip
from scheduling.numerics.run_times import minutes_at, program_minutes
from scheduling.season.away import zones_away
from scheduling.season.field import Field
from scheduling.season.survey import assumed_of, missing_of
from scheduling.selectors.cuts import cuts_in_force
from scheduling.selectors.hours import spans_in
from scheduling.selectors.season_load import load_season
from weather.models import ForecastDay, ObservedDay

DAYS_BACK, DAYS_AHEAD = 30, 7


@dataclass(frozen=True)
class ZoneState:
    """A zone's survey and soil water; depths are None where something is missing."""

    zone: Zone
    missing: list[str]
    depletion_mm: float | None
    raw_mm: float | None
    taw_mm: float | None
    stressed: bool
    assumed: list[str]
    episode: str
    settled: bool = True
    cut: ZoneCut | None = None


@dataclass(frozen=True)
class ProgramState:
    """A program in the coming night."""

    program: Program
    percent: int
    waters_tonight: bool
    starts: list[str]
    night_minutes: float
    window_minutes: float
    skip_reason: str

    @property
    def fits(self) -> bool:
        """Tell whether what it runs fits the hours allowed."""
        return self.night_minutes <= self.window_minutes


@dataclass(frozen=True)
class DayState:
    """One day's weather and how it is known."""

    date: date
    et0_mm: float | None
    rain_mm: float | None
    t_min_c: float | None
    t_max_c: float | None
    kind: str
    source: str = ""
    on_site: SiteRain | None = None  # what was seen there; it counts instead of ``rain_mm``

    @property
    def rain_counted_mm(self) -> float | None:
        """Return the rain the account takes for this day."""
        return self.rain_mm if self.on_site is None else self.on_site.rain_mm


@dataclass(frozen=True)
class SiteState:
    """One site this morning."""

    zones: list[ZoneState]
    programs: list[ProgramState]
    days: list[DayState]
    observed_through: date | None
    source: str
    fallback_days: int = 0
    notes: list[str] = dataclass_field(default_factory=list)
    correction: SiteCorrection | None = None  # of reference ET, where one is in force
    season: Field | None = None  # what it was read from, where any weather is stored


def site_state(site: Site, *, on: date) -> SiteState:
    """Return how a site stands on the morning of ``on``, derived anew."""
    days = _days(site, on=on)
    observed = [day for day in days if day.kind == "observed"]
    source = next((day.source for day in reversed(days) if day.source), "")
    zones = list(
        Zone.objects.filter(controller__site=site)
        .select_related("controller")
        .order_by("controller__name", "number")
    )
    if site.cell_id is None or not observed:
        return SiteState(
            zones=[_unknown(zone) for zone in zones],
            programs=[],
            days=days,
            observed_through=None,
            source=source,
            notes=["No measured weather is stored for this place yet, so soil water isn't counted."],
        )
    cuts = cuts_in_force([site.pk], night=on)
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    field = loaded.field
    away = {
        zone: episode.get_kind_display() for zone, episode in zones_away(field.rows.episodes, on=on).items()
    }
    states = []
    for zone in zones:
        place = field.index_of_zone.get(zone.pk)
        if place is None:
            states.append(_unknown(zone, episode=away.get(zone.pk, "")))
            continue
        depletion = float(loaded.balance.depletion_mm[place])
        raw = float(field.survey.raw_mm[place])
        states.append(
            ZoneState(
                zone=zone,
                missing=[],
                depletion_mm=depletion,
                raw_mm=raw,
                taw_mm=float(field.survey.taw_mm[place]),
                stressed=depletion > raw,
                assumed=assumed_of(zone),
                episode=away.get(zone.pk, ""),
                settled=bool(loaded.balance.settled[place]),
                cut=cuts.get(zone.pk),
            )
        )
    return SiteState(
        zones=states,
        programs=_programs(field, site, on=on),
        days=days,
        observed_through=observed[-1].date,
        source=source,
        fallback_days=(on - observed[-1].date).days - 1,
        correction=field.corrections_today.get(site.pk),
        season=field,
    )


def _unknown(zone: Zone, episode: str = "") -> ZoneState:
    return ZoneState(
        zone=zone,
        missing=missing_of(zone),
        depletion_mm=None,
        raw_mm=None,
        taw_mm=None,
        stressed=False,
        assumed=assumed_of(zone),
        episode=episode,
    )


def _programs(field: Field, site: Site, *, on: date) -> list[ProgramState]:
    reasons = {
        skip.program_id: skip.reason
        for skip in Skip.objects.filter(
            program__controller__site=site, effective_from__lte=on, effective_to__gte=on
        )
    }
    hours = hours_of(rule_of(site, on))
    window = sum(end - begin for begin, end in spans_in(hours, on, site.timezone))
    states = []
    for column, program in enumerate(field.programs):
        if not field.program_runs[column]:
            continue
        percent = int(field.percents[field.today + 1, column])
        waters = bool(field.planned[field.today + 1, column]) and percent > 0
        reason = reasons.get(program.pk, "")
        if waters and not reason and not field.starts[field.today + 1, column]:
            reason = "held back by the controller's sensor"
        states.append(
            ProgramState(
                program=program,
                percent=percent,
                waters_tonight=waters and not reason and site.season != Site.Season.CLOSED,
                starts=list(program.starts),
                night_minutes=_minutes(field, column, percent),
                window_minutes=window,
                skip_reason=reason,
            )
        )
    return states


def _minutes(field: Field, column: int, percent: int) -> float:
    entered = field.entered
    own = np.flatnonzero(entered.program == column)
    if not own.size:
        return 0.0
    took = program_minutes(
        minutes_at(np.array([percent / 100.0]), entered.minutes[own], entered.step[own]),
        cycle_min=entered.cycle[own],
        soak_min=entered.soak[own],
        program_of_run=np.zeros(own.size, dtype=np.intp),
    )
    return float(took[0, 0]) * len(field.programs[column].starts)


def _days(site: Site, *, on: date) -> list[DayState]:
    if site.cell_id is None:
        return []
    fields = ("date", "reference_et_mm", "rain_mm", "t_min_c", "t_max_c", "source")
    observed = ObservedDay.objects.filter(
        cell=site.cell_id, date__gte=on - timedelta(days=DAYS_BACK), date__lt=on
    ).order_by("date")
    known = clock.known_by(on, site.timezone)
    foreseen = ForecastDay.objects.filter(
        cell=site.cell_id, issued_at__lte=known, date__gte=on, date__lt=on + timedelta(days=DAYS_AHEAD)
    ).order_by("issued_at")
    newest = {row[0]: row for row in foreseen.values_list(*fields)}
    seen = SiteRain.objects.filter(site=site, date__gte=on - timedelta(days=DAYS_BACK), date__lt=on)
    on_site = {row.date: row for row in seen}
    return [_day(row, "observed", on_site) for row in observed.values_list(*fields)] + [
        _day(newest[day], "forecast", on_site) for day in sorted(newest)
    ]


def _day(
    row: tuple[date, float | None, float | None, float | None, float | None, str],
    kind: str,
    on_site: dict[date, SiteRain],
) -> DayState:
    return DayState(row[0], row[1], row[2], row[3], row[4], kind, row[5], on_site.get(row[0]))
