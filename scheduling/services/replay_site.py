"""A stretch of weather lived through again at one site, with the programs it has today."""

from copy import copy
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from common.errors import Refused
from fleet.models import Site, Zone
from scheduling.models import Program
from scheduling.numerics.gross_to_net import Application
from scheduling.numerics.replay.days import Weather
from scheduling.numerics.replay.foresight import FORECAST_DAYS, Errors, Forecasts, earned_by, made_wrong
from scheduling.numerics.replay.landscape import Ground, Landscape, Runs
from scheduling.numerics.units import Indices
from scheduling.season.field import Field
from scheduling.season.nights import waterings
from scheduling.season.survey import assumed_of
from scheduling.selectors.replay.climate import HORIZON_DAYS, USUAL_LEVEL, Climate, season_weather, sun_mm
from scheduling.selectors.replay.living import Season
from scheduling.selectors.season_load import load_season
from scheduling.services.coming_days import Coming, coming_days
from scheduling.services.groups import groups_of
from scheduling.services.percents import search_percents
from weather.models import MonthlyNormal, ObservedDay
from weather.season.issued import issued_forecasts


@dataclass(frozen=True)
class SiteSeason:
    """A season of a site with what was foretold for it, the percents it starts with, and what is assumed."""

    season: Season
    forecasts: Forecasts
    first_percent: Indices
    assumed: dict[str, list[str]]
    notes: list[str]


def season_of_site(
    site: Site,
    *,
    first: date,
    last: date,
    on: date,
    errors: Errors,
    seed: int,
    climate: Climate | None = None,
) -> SiteSeason:
    """Lay out a stretch of a site's past for living through again.

    The programs, surveys and limits are those of today; the weather is what was observed, the forecasts are
    those issued then, and where none were, the weather that came made wrong as ``errors`` says. With a
    ``climate`` the days are its days, in the past or not, and all forecasts are made wrong.

    Raises
    ------
    Refused
        If days are missing from the observed weather, or nothing at the site is watered by percents.
    """
    if not (first <= last < on or (climate and first <= last)):
        raise Refused(f"The stretch must end before {on}, and not before it begins.", field="to")
    if site.cell is None and climate is None:
        raise Refused("The site has no weather yet; its next night fetches it.", field="site")
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    field = loaded.field
    coming = coming_days(field, loaded.balance, groups_of(field, policies=loaded.policies))
    if not coming.groups:
        raise Refused("No program of this site is complete enough to be computed.", field="site")
    days = (last - first).days + 1
    columns = [column for group in coming.groups for column in group.columns]
    zones = np.unique(coming.zone_of_unit)
    landscape = _landscape(field, coming, columns, zones)
    weather = season_weather(climate, first, last) if climate else _weather(site, first=first, days=days)
    forecasts, issued = (
        (made_wrong(weather.et_mm, weather.rain_mm, errors, seed=seed, mornings=days), 0)
        if climate
        else _forecasts(site, weather, first=first, days=days, errors=errors, seed=seed)
    )
    programs = [_from(field.programs[column], first) for column in columns]
    starts = waterings(programs, first=first, count=len(weather.et_mm))
    starts[0] = 0
    several = len({field.zones[zone].controller_id for zone in zones}) > 1
    boxes = {box.pk: box.name for box in field.rows.controllers}
    names = [_called(str(zone), boxes[zone.controller_id], several) for zone in _of(field.zones, zones)]
    return SiteSeason(
        season=Season(
            landscape=landscape,
            starts=starts,
            weather=weather,
            first=first,
            days=days,
            start_depletion_mm=0.5 * landscape.ground.raw_mm,
            zones=names,
            programs=[_called(f"{p.letter} {p.name}", boxes[p.controller_id], several) for p in programs],
            zone_ids=[zone.pk for zone in _of(field.zones, zones)],
            program_ids=[program.pk for program in programs],
        ),
        forecasts=forecasts,
        first_percent=np.array([group.current for group in coming.groups], dtype=np.intp),
        assumed={name: assumed_of(zone) for name, zone in zip(names, _of(field.zones, zones), strict=True)},
        notes=[
            *(["The weather is the file's, not what was observed here."] if climate else []),
            *_notes(field, days=days, issued=issued, errors=errors),
        ],
    )


def _landscape(field: Field, coming: Coming, columns: list[int], zones: Indices) -> Landscape:
    """Return zones, runs and limits; candidates are whole percents, each group is allowed its own."""
    place = {column: n for n, column in enumerate(columns)}
    runs = sorted(coming.runs.tolist(), key=lambda run: (place[int(field.program_of_run[run])], run))
    found = search_percents(coming)
    most = max(int(search.percents[-1]) for search in found)
    allowed = np.zeros((most + 1, len(coming.groups)), dtype=bool)
    for n, search in enumerate(found):
        allowed[search.percents, n] = search.allowed
    survey, a = field.survey, field.application
    return Landscape(
        ground=Ground(
            kl=(survey.kl * field.trim_today)[:, zones],
            taw_mm=survey.taw_mm[zones],
            raw_mm=survey.raw_mm[zones],
            area_m2=survey.area_m2[zones],
            cell=np.zeros(zones.size, dtype=np.intp),
        ),
        runs=Runs(
            zone=np.searchsorted(zones, field.zone_of_run[runs]),
            program=np.array([place[int(field.program_of_run[run])] for run in runs], dtype=np.intp),
            minutes=field.minutes[runs],
            step=field.minute_step[runs],
            cycle_min=field.cycle_min[runs],
            soak_min=field.soak_min[runs],
            application=Application(*(np.asarray(getattr(a, name))[runs] for name in a.__slots__)),
        ),
        group_of_program=np.array(
            [n for n, group in enumerate(coming.groups) for _ in group.columns], dtype=np.intp
        ),
        percents=np.arange(most + 1) / 100.0,
        allowed=allowed,
    )


def _weather(site: Site, *, first: date, days: int) -> Weather:
    """Return what was observed, rain seen on the site before the cell's; usual ET beyond a forecast."""
    count = days + HORIZON_DAYS
    dates = [first + timedelta(days=n) for n in range(count)]
    seen = dict(site.rain.filter(date__gte=first).values_list("date", "rain_mm"))
    observed = {
        day: (et, rain)
        for day, et, rain in ObservedDay.objects.filter(
            cell=site.cell_id, date__gte=first, date__lte=dates[-1], reference_et_mm__isnull=False
        ).values_list("date", "reference_et_mm", "rain_mm")
    }
    missing = [day for day in dates[:days] if day not in observed]
    if missing:
        raise Refused(
            f"The weather of {len(missing)} days was never observed, the first {missing[0]}.", field="from"
        )
    usual = dict(MonthlyNormal.objects.filter(cell=site.cell_id).values_list("month", "reference_et_mm"))
    sun = sun_mm(dates, site.latitude)
    normal = np.array([usual.get(day.month, np.nan) for day in dates])
    normal = np.where(np.isfinite(normal), normal, USUAL_LEVEL * sun)
    et = np.array([observed[day][0] if day in observed else normal[n] for n, day in enumerate(dates)])
    rain = np.array([seen.get(day, (observed.get(day) or (0.0, 0.0))[1] or 0.0) for day in dates])
    return Weather(
        et_mm=et[:, np.newaxis],
        rain_mm=rain[:, np.newaxis],
        month=np.array([day.month for day in dates]),
        normal_mm=normal[:, np.newaxis],
        level=np.ones((days, 1)),
    )


def _forecasts(
    site: Site, weather: Weather, *, first: date, days: int, errors: Errors, seed: int
) -> tuple[Forecasts, int]:
    """Return what was foretold, and on how many mornings it is what was issued then."""
    made = made_wrong(weather.et_mm, weather.rain_mm, errors, seed=seed, mornings=days)
    if site.cell is None:
        return made, 0
    et, rain = issued_forecasts(
        site.cell, first=first, mornings=days, days=FORECAST_DAYS, timezone=site.timezone
    )
    known = np.asarray(np.isfinite(et).all(axis=1))
    use = known.reshape(-1, 1, 1)
    foretold = np.where(use, rain[:, :, np.newaxis], made.rain_mm)
    return (
        Forecasts(
            et_mm=np.where(use, et[:, :, np.newaxis], made.et_mm),
            rain_mm=foretold,
            credit=earned_by(foretold, came_mm=weather.rain_mm),
        ),
        int(known.sum()),
    )


def _from(program: Program, first: date) -> Program:
    """Return a program as if it had run from the start; the copy is not stored."""
    earlier = copy(program)
    earlier.effective = first - timedelta(days=1)
    return earlier


def _of(zones: list[Zone], places: Indices) -> list[Zone]:
    return [zones[place] for place in places]


def _called(name: str, box: str, several: bool) -> str:
    return f"{box}, {name}" if several else name


def _notes(field: Field, *, days: int, issued: int, errors: Errors) -> list[str]:
    notes = [
        "Programs, surveys and limits are those of today, for the whole stretch.",
        "The soil starts half way to where stress begins.",
    ]
    if issued:
        notes.append(f"On {issued} of {days} mornings the forecast is the one issued then.")
    if issued < days:
        wrong = f"made wrong: {errors.words}."
        notes.append(f"On {days - issued} mornings the forecast is the weather that came, {wrong}")
    if any(box.rain_sensor or box.freeze_sensor for box in field.rows.controllers):
        notes.append("Rain and freeze sensors are left out: here none of them holds a night back.")
    if field.missing:
        notes.append(f"{len(field.missing)} zones are left out because their survey is not complete.")
    return notes
