"""The days of a replay one after the other: a night's water lands, the day passes, the morning decides."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.numerics.ranges import Floats
from scheduling.numerics.percent_search import search
from scheduling.numerics.quick_search import never_less, quick_search
from scheduling.numerics.replay.foresight import FORECAST_DAYS, Forecasts
from scheduling.numerics.replay.landscape import Landscape
from scheduling.numerics.replay.rules import RAIN_SHARE, WORTH_IT_STRESS, Rules
from scheduling.numerics.replay.soil import Soil
from scheduling.numerics.skip_check import SkipCheck, check_skip
from scheduling.numerics.units import Bools, Indices

LOOK_AHEAD_DAYS = 8
QUICK_FROM = 60  # units; fewer are faster tried at every percent
BY_ZONE = (
    "gross_mm",
    "net_mm",
    "runoff_mm",
    "drained_irrigation_mm",
    "drained_rain_mm",
    "rain_mm",
    "full_et_mm",
    "et_mm",
    "depletion_mm",
    "lost_share",
)
Ints = NDArray[np.integer]


@dataclass(frozen=True, slots=True)
class Weather:
    """The weather that came: reference ET and rain, (days, cells) [mm]; ``month`` of each day, 1 to 12.

    ``normal_mm`` the usual ET of each day and ``level`` what each morning knows it has to be multiplied by,
    (days, cells) [mm] and [-]. All but ``level`` reach beyond the last day decided on, by the horizon.
    """

    et_mm: Floats
    rain_mm: Floats
    month: Ints
    normal_mm: Floats
    level: Floats


@dataclass(frozen=True, slots=True)
class Lived:
    """What each day brought each zone, (days, zones) [mm], and what each morning decided, (days, groups).

    ``lost_share`` the share of a zone's full ET it went without [-]; ``row_of_program`` row of the percents
    whose water landed that day, -1 for none, (days, programs); ``percent`` the row decided, -1 where the
    morning decided nothing; ``skip`` whether the night was left out; ``deciding`` the zone the percent hangs
    on; ``rain_counted_mm`` rain credited to a skip.
    """

    gross_mm: Floats
    net_mm: Floats
    runoff_mm: Floats
    drained_irrigation_mm: Floats
    drained_rain_mm: Floats
    rain_mm: Floats
    full_et_mm: Floats
    et_mm: Floats
    depletion_mm: Floats
    lost_share: Floats
    row_of_program: Indices
    percent: Indices
    skip: Bools
    deciding: Indices
    rain_counted_mm: Floats


@dataclass(frozen=True, slots=True)
class Truth:
    """What the ground really is, where that isn't what is believed of it.

    ``landscape`` the same zones and runs as they really are; ``start_depletion_mm`` before the first day,
    (zones,) [mm]; ``looked`` mornings on which somebody looks at a zone's soil and its account is set right,
    (days, zones); ``trim`` what the believed need is multiplied by from each day on, (days, zones) [-].
    """

    landscape: Landscape
    start_depletion_mm: Floats
    looked: Bools
    trim: Floats


def live_through(
    landscape: Landscape,
    *,
    starts: Ints,
    weather: Weather,
    days: int,
    start_depletion_mm: Floats,
    first_percent: Indices,
    rules: Rules | None,
    forecasts: Forecasts | None = None,
    fixed: Indices | None = None,
    truth: Truth | None = None,
) -> Lived:
    """Live through ``days`` days.

    Parameters
    ----------
    landscape : Landscape
        Zones and programs, as far as is known.
    starts : ndarray of int, shape (days + horizon, programs)
        Starts whose water lands on each day; none on the first, whose night lies before the first decision.
    weather : Weather
        What came.
    days : int
        Days to live through.
    start_depletion_mm : ndarray, shape (zones,)
        Depletion before the first day, 0 to TAW. [mm]
    first_percent : ndarray of int, shape (groups,)
        Row of the percents in force before the first decision.
    rules : Rules or None
        How to decide; None decides nothing.
    forecasts : Forecasts, optional
        What was foretold; needed with rules.
    fixed : ndarray of int, shape (days, groups), optional
        Rows in force on each night, for settings nobody decides.
    truth : Truth, optional
        What the ground really is: what comes of it is booked, while decisions go by what is believed.

    Returns
    -------
    Lived

    Raises
    ------
    ValueError
        If an argument is out of range.
    """
    landscape.check()
    if rules is not None and forecasts is None:
        raise ValueError("forecasts is None, accepted are forecasts where rules decide")
    book = _opened(landscape, days)
    share = rules.rain_share if rules else RAIN_SHARE
    believed = Soil(landscape, weather, start_depletion_mm, rain_share=share)
    real = (
        believed
        if truth is None
        else Soil(truth.landscape, weather, truth.start_depletion_mm, rain_share=share)
    )
    decides = _Decides(landscape, starts, weather, rules, forecasts) if rules and forecasts else None
    row = np.asarray(first_percent, dtype=np.intp).copy()
    landed = np.zeros(landscape.programs, dtype=np.intp)
    behind = row.copy()
    for day in range(days):
        trim = None if truth is None else truth.trim[day]
        if truth is not None and truth.looked[day].any():
            dry_share = real.depletion_mm / truth.landscape.ground.taw_mm  # what a probe tells
            believed.depletion_mm = np.where(
                truth.looked[day], dry_share * landscape.ground.taw_mm, believed.depletion_mm
            )
        if decides:
            decides.morning(
                day,
                row,
                depletion=believed.depletion_mm,
                net_today_mm=believed.net(landed, behind),
                rain_yesterday_mm=share * weather.rain_mm[day - 1]
                if day
                else np.zeros_like(weather.rain_mm[0]),
                trim=trim,
                book=book,
            )
        elif fixed is not None:
            row = fixed[day]
        if real is not believed:
            believed.pass_day(day, landed, behind, trim=trim)
        real.pass_day(day, landed, behind, book=book)
        if day + 1 < days:
            landed = np.where(book.skip[day][landscape.group_of_program], 0, starts[day + 1])
            behind = row.copy()
            book.row_of_program[day + 1] = np.where(landed > 0, row[landscape.group_of_program], -1)
    with np.errstate(invalid="ignore", divide="ignore"):
        book.lost_share[:] = np.where(book.full_et_mm > 0, 1.0 - book.et_mm / book.full_et_mm, 0.0)
    np.clip(book.lost_share, 0.0, 1.0, out=book.lost_share)
    return book


def _opened(landscape: Landscape, days: int) -> Lived:
    """Return the books, still empty."""
    groups, programs = landscape.groups, landscape.programs
    by_zone = {name: np.zeros((days, landscape.zones)) for name in BY_ZONE}
    return Lived(
        **by_zone,
        row_of_program=np.full((days, programs), -1, dtype=np.intp),
        percent=np.full((days, groups), -1, dtype=np.intp),
        skip=np.zeros((days, groups), dtype=bool),
        deciding=np.full((days, groups), -1, dtype=np.intp),
        rain_counted_mm=np.zeros((days, groups)),
    )


class _Decides:
    """The mornings of a replay: the nightly run's search and skip check, on what was known by then."""

    def __init__(
        self, landscape: Landscape, starts: Ints, weather: Weather, rules: Rules, forecasts: Forecasts
    ) -> None:
        self._landscape, self._weather, self._rules, self._forecasts = landscape, weather, rules, forecasts
        self._rows = max(rules.judged, LOOK_AHEAD_DAYS - 1) + 1
        ground, units, depths = landscape.ground, landscape.units, landscape.depths
        self._starts = starts[:, landscape.runs.program] * (depths.minutes.max(axis=0, initial=0.0) > 0)
        self._kl = ground.kl[:, units.zone]
        self._taw, self._raw = ground.taw_mm[units.zone], ground.raw_mm[units.zone]
        self._cell = ground.cell[units.zone]
        self._group_of_run = units.group[units.of_run]
        self._each = np.arange(len(landscape.runs.zone))
        # A percent's stress is wanted for every candidate only to weigh a move against a dead band.
        quick = not rules.dead_band and units.zone.size >= QUICK_FROM and never_less(depths.net_mm)
        self._search = quick_search if quick else search
        self._shared = np.unique(units.zone).size < units.zone.size

    def morning(
        self,
        day: int,
        row: Indices,
        *,
        depletion: Floats,
        net_today_mm: Floats,
        rain_yesterday_mm: Floats,
        trim: Floats | None,
        book: Lived,
    ) -> None:
        """Decide on the coming night and write it into the book; ``row`` is changed in place."""
        if day % self._rules.every:
            return
        landscape, rules, units = self._landscape, self._rules, self._landscape.units
        et, rain = self._foreseen(day)
        if trim is not None:
            et = et * trim[units.zone]
        kept = landscape.depths.net_mm[row[self._group_of_run], self._each]
        starts = self._starts[day : day + self._rows].copy()
        starts[0] = 0
        fixed = np.zeros_like(et)
        fixed[0] = net_today_mm[units.zone]
        if self._shared:
            fixed[1:] = self._from_elsewhere(starts[1:] * kept)
        start = depletion[units.zone]
        if rules.skips:
            check = self._check(starts * kept, fixed, start, et, rain)
            counted = self._rain_counted(check, rain, rain_yesterday_mm)
            book.skip[day] = check.safe & check.watered & (counted >= rules.rain_counts_from_mm)
            book.rain_counted_mm[day] = counted
            starts[1] *= ~book.skip[day][self._group_of_run]
        groups = landscape.groups
        choice = self._search(
            percents=landscape.percents,
            net_mm=landscape.depths.net_mm,
            kept_net_mm=kept,
            starts=starts[: rules.judged + 1],
            unit_of_run=units.of_run,
            group_of_unit=units.group,
            first_day=np.ones(groups, dtype=np.intp),
            last_day=np.full(groups, rules.judged, dtype=np.intp),
            fixed_mm=fixed[: rules.judged + 1],
            start_depletion_mm=start,
            et_mm=et[: rules.judged + 1],
            rain_mm=rain[: rules.judged + 1],
            taw_mm=self._taw,
            raw_mm=self._raw,
            allowed=landscape.allowed,
            margin=rules.margin,
            tolerance=rules.tolerance,
            bearable=rules.bearable,
        )
        move = (choice.index >= 0) & self._worth_it(choice.index, row, choice.stress, choice.least)
        row[move] = choice.index[move]
        book.percent[day] = row
        book.deciding[day] = np.where(choice.deciding_unit >= 0, units.zone[choice.deciding_unit], -1)

    def _worth_it(self, index: Indices, row: Indices, stress: Floats, least: Floats) -> Bools:
        if not self._rules.dead_band:
            return np.ones(row.size, dtype=bool)
        percents = self._landscape.percents
        spared = stress[row, np.arange(row.size)] - least
        moved = np.abs(percents[index] - percents[row])
        return np.asarray((moved >= self._rules.dead_band - 1e-9) | (spared >= WORTH_IT_STRESS))

    def _foreseen(self, day: int) -> tuple[Floats, Floats]:
        """Return landscape ET and credited rain of every unit over the coming days, (H, units)."""
        weather, forecasts, rules = self._weather, self._forecasts, self._rules
        window = slice(day, day + self._rows)
        et = weather.normal_mm[window] * weather.level[day]
        rain = np.zeros_like(et)
        near = min(FORECAST_DAYS, self._rows)
        et[:near] = forecasts.et_mm[day, :near]
        credit = forecasts.credit[day] if rules.rain_credit is None else rules.rain_credit
        rain[:near] = rules.rain_share * credit * forecasts.rain_mm[day, :near]
        kl = self._kl[weather.month[window] - 1]
        return et[:, self._cell] * kl, rain[:, self._cell]

    def _from_elsewhere(self, of_run: Floats) -> Floats:
        """Return what other groups give each unit's zone, (H, units)."""
        units, zones = self._landscape.units, self._landscape.zones
        zone_of_run = units.zone[units.of_run]
        found = np.zeros((len(of_run), units.zone.size))
        for day, row in enumerate(of_run):
            all_of_zone = np.bincount(zone_of_run, weights=row, minlength=zones)
            own = np.bincount(units.of_run, weights=row, minlength=units.zone.size)
            found[day] = np.maximum(all_of_zone[units.zone] - own, 0.0)
        return found

    def _check(self, of_run: Floats, fixed: Floats, start: Floats, et: Floats, rain: Floats) -> SkipCheck:
        units = self._landscape.units
        net = np.array(
            [
                np.bincount(units.of_run, weights=row, minlength=units.zone.size)
                for row in of_run[:LOOK_AHEAD_DAYS]
            ]
        )
        return check_skip(
            net_mm=net,
            fixed_mm=fixed[:LOOK_AHEAD_DAYS],
            group_of_unit=units.group,
            groups=self._landscape.groups,
            start_depletion_mm=start,
            et_mm=et[:LOOK_AHEAD_DAYS],
            rain_mm=rain[:LOOK_AHEAD_DAYS],
            taw_mm=self._taw,
            raw_mm=self._raw,
            margin=self._rules.margin,
        )

    def _rain_counted(self, check: SkipCheck, rain: Floats, yesterday_mm: Floats) -> Floats:
        """Return the rain credited to each group from yesterday to the next watering, (groups,). [mm]"""
        units, groups = self._landscape.units, self._landscape.groups
        of_unit = yesterday_mm[self._cell] + rain[0] + check.rain_mm
        counted = np.zeros(groups)
        np.maximum.at(counted, units.group, of_unit)
        return counted
