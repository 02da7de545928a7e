"""What every program did each day: applied and under both baselines, in litres; derived anew every time."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from reports.numerics.savings import saved_water, withheld_et
from reports.selectors.baselines import FOUND, MONTHLY, baselines_of
from scheduling.numerics.season_balance import season_balance
from scheduling.numerics.watering import Watering
from scheduling.season.field import Field
from scheduling.season.survey import missing_of
from scheduling.selectors.season_load import load_season
from scheduling.services.coming_days import by_unit

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

BASELINES = (FOUND, MONTHLY)


@dataclass(frozen=True)
class Against:
    """One baseline of every program and day, in litres (days, programs); NaN where it isn't known."""

    baseline_l: Floats
    withheld_l: Floats


@dataclass(frozen=True)
class Away:
    """A zone that isn't watered by need: the balance days its water doesn't count on, both included."""

    zone: int  # place on the zones axis
    words: str
    first: date
    last: date


@dataclass(frozen=True)
class ProgramDays:
    """Days by programs. ``programs`` are (controller, letter), versions of a letter added up."""

    field: Field
    days: list[date]
    programs: list[tuple[int, str]]
    began: NDArray[np.bool_]  # (days, programs) from the first night the settings are known
    applied_l: Floats
    need_l: Floats
    short_l: Floats
    against: dict[str, Against]
    percents: NDArray[np.int64]  # (days, programs) of the version that ran
    lacking: list[tuple[int, str]]  # controller, and what is missing at a zone of it
    away: list[Away]

    def left_out(
        self, first: date, last: date, *, of_controller: Callable[[int], bool] = lambda pk: True
    ) -> list[str]:
        """Return the zones that aren't in the figures of some days, or not all of those days, and why."""
        away = [one for one in self.away if one.first <= last and one.last >= first]
        lacking = [words for controller, words in self.lacking if of_controller(controller)]
        told = [one.words for one in away if of_controller(self.field.zones[one.zone].controller_id)]
        return [*lacking, *dict.fromkeys(told)]


@dataclass(frozen=True)
class _Course:
    gross_mm: Floats  # (days, runs)
    withheld_mm: Floats  # (days, zones)


def program_days(site_ids: Sequence[int], *, on: date, timezone: str) -> ProgramDays:
    """Return every day of some sites' accounts before ``on``, in a fixed number of queries.

    The three courses (applied, settings found, monthly percents) start from the same soil on the first day
    of the account. Zones that lack something in their survey are left out, and so are the days of
    a zone that isn't watered by need.
    """
    return days_of(load_season(site_ids, on=on, timezone=timezone).field)


def days_of(field: Field) -> ProgramDays:
    """Return every day of a season that is already read, as ``program_days`` does."""
    past = field.today
    away = _away(field)
    counts = counted_days(field, away)  # (days, zones)
    applied = _course(field, field.starts, field.percents)
    et = _landscape_et(field)
    courses = {name: _course(field, b.starts, b.percents) for name, b in baselines_of(field).items()}
    known = {name: b.known for name, b in baselines_of(field).items()}
    area = field.survey.area_m2
    of_run = counts[:, field.zone_of_run] * area[field.zone_of_run]
    keys = [(p.controller_id, p.letter) for p in field.programs]
    programs = sorted(set(keys))
    place = {key: n for n, key in enumerate(programs)}
    letter_of_run = np.array([place[keys[p]] for p in field.program_of_run], dtype=np.intp)
    letter_of_zone = _main_letter(field, letter_of_run)
    began = _began(field, programs, place, keys)
    efficiency = np.asarray(field.survey.application.ground_share) * np.asarray(
        field.survey.application.usable_share
    )
    against = {}
    for name, course in courses.items():
        saved = saved_water(
            area_m2=area,
            efficiency=efficiency,
            applied_mm=np.zeros((past, area.size)),
            baseline_mm=np.zeros((past, area.size)),
            withheld_applied_mm=applied.withheld_mm,
            withheld_baseline_mm=course.withheld_mm,
        )
        litres = began * by_owner(course.gross_mm * of_run, letter_of_run, len(programs))
        unknown = np.ones(len(programs), dtype=bool)
        for column, key in enumerate(keys):
            unknown[place[key]] &= not known[name][column]
        litres[:, unknown] = np.nan
        against[name] = Against(
            litres, began * by_owner(saved.withheld_l * counts, letter_of_zone, len(programs))
        )
    return ProgramDays(
        field=field,
        days=field.days[:past],
        programs=programs,
        began=began,
        applied_l=began * by_owner(applied.gross_mm * of_run, letter_of_run, len(programs)),
        need_l=began * by_owner(et * area * counts, letter_of_zone, len(programs)),
        short_l=began * by_owner(applied.withheld_mm * area * counts, letter_of_zone, len(programs)),
        against=against,
        percents=_percents(field, keys, place),
        lacking=_lacking(field),
        away=away,
    )


def _course(field: Field, starts: Ints, percents: NDArray[np.int64]) -> _Course:
    past = field.today
    held = np.unique(percents[:past]) if past else np.array([100])
    depths = field.depths(held.astype(np.float64))
    row = np.searchsorted(held, percents[:past])
    begin, marks = field.marks_of_soil(dry=True)
    season = season_balance(
        et_mm=field.weather.reference_et_mm[:past],
        rain_mm=field.rain_effective[:past],
        rain_share=1.0,
        cell_of_zone=field.cell_of_zone,
        kl=field.survey.kl,
        month_of_day=field.months[:past],
        taw_mm=field.survey.taw_mm,
        raw_mm=field.survey.raw_mm,
        start_depletion_mm=begin,
        watering=Watering(
            zone_of_run=field.zone_of_run,
            program_of_run=field.program_of_run,
            net_mm=depths.net_mm,
            percent_index=row,
            starts=starts[:past],
        ),
        trims=field.trim_marks,
        observations=marks,
        keep=True,
    )
    runs = np.arange(field.program_of_run.size)
    of_run = row[:, field.program_of_run], runs
    count = starts[:past][:, field.program_of_run]
    net = by_owner(depths.net_mm[of_run] * count, field.zone_of_run, len(field.zones))
    assert season.daily_depletion_mm is not None
    return _Course(
        gross_mm=depths.gross_mm[of_run] * count,
        withheld_mm=withheld_et(
            season.daily_depletion_mm,
            start_mm=begin,
            irrigation_mm=net,
            rain_mm=field.rain_effective[:past][:, field.cell_of_zone],
            et_mm=_landscape_et(field),
            taw_mm=field.survey.taw_mm,
            raw_mm=field.survey.raw_mm,
        ),
    )


def _landscape_et(field: Field) -> Floats:
    past = field.today
    kl = field.survey.kl[field.months[:past] - 1]
    trims = np.ones((past, len(field.zones)))
    marks = field.trim_marks
    for day, zone, factor in zip(marks.day, marks.zone, marks.value, strict=True):
        trims[day:, zone] = factor
    return np.asarray(field.weather.reference_et_mm[:past][:, field.cell_of_zone] * kl * trims)


def _away(field: Field) -> list[Away]:
    """Return the stretches in which zones aren't watered by need; the water of a night counts a day later."""
    found = []
    for episode in field.rows.episodes:
        place = field.index_of_zone.get(episode.zone_id)
        if place is not None:
            words = f"zone {field.zones[place].number}: {episode.get_kind_display()}, not watered by need"
            last = episode.effective_to + timedelta(days=1) if episode.effective_to else date.max
            found.append(Away(place, words, episode.effective_from + timedelta(days=1), last))
    return found


def counted_days(field: Field, away: list[Away]) -> Floats:
    """Return 1 for each day a zone counts on, 0 for one it is away: (days, zones)."""
    counts = np.ones((field.today, len(field.zones)))
    begin = field.days[0]
    for one in away:
        first, last = max(one.first, begin), min(one.last, field.days[-1])
        counts[(first - begin).days : max((last - begin).days + 1, 0), one.zone] = 0.0
    return counts


def _lacking(field: Field) -> list[tuple[int, str]]:
    return [
        (zone.controller_id, f"zone {zone.number}: {', '.join(missing_of(zone))}")
        for zone in field.rows.zones
        if zone.pk in field.missing
    ]


def _main_letter(field: Field, letter_of_run: Ints) -> Ints:
    """Return the program a zone's plants are told under: the first that waters it."""
    letters = np.zeros(len(field.zones), dtype=np.intp)
    for run in range(field.zone_of_run.size - 1, -1, -1):
        letters[field.zone_of_run[run]] = letter_of_run[run]
    return letters


def _began(
    field: Field,
    programs: list[tuple[int, str]],
    place: dict[tuple[int, str], int],
    keys: list[tuple[int, str]],
) -> NDArray[np.bool_]:
    """Tell from which day on a program counts: its account runs and what it was found at is known."""
    site_of_controller = {c.pk: c.site_id for c in field.rows.controllers}
    start_of_site = {site.pk: site.balance_from for site in field.rows.sites}
    first_setting: dict[int, date] = {}
    for program_id, since, _ in field.rows.settings:
        first_setting.setdefault(program_id, since)
    from_day = [field.days[field.today]] * len(programs)
    for column, program in enumerate(field.programs):
        known_from = first_setting.get(program.pk, program.effective) + timedelta(days=1)
        account = start_of_site[site_of_controller[program.controller_id]] or known_from
        n = place[keys[column]]
        from_day[n] = min(from_day[n], max(known_from, account))
    rows = np.array([(day - field.days[0]).days for day in from_day])
    return np.arange(field.today)[:, np.newaxis] >= rows


def _percents(
    field: Field, keys: list[tuple[int, str]], place: dict[tuple[int, str], int]
) -> NDArray[np.int64]:
    past = field.today
    found = np.full((past, len(place)), 100, dtype=np.int64)
    for column, program in enumerate(field.programs):  # later versions overwrite from their first night on
        row = max((program.effective + timedelta(days=1) - field.days[0]).days, 0)
        found[row:, place[keys[column]]] = field.percents[row:past, column]
    return found


def by_owner(values: Floats, owner: Ints, owners: int) -> Floats:
    """Add up the last axis of (days, n) by owner: (days, owners)."""
    return by_unit(values, owner, units=owners)
