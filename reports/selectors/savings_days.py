"""The days behind a client's savings: by site and by program, with the weather of each site beside them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from fleet.models import Client, Controller, Site
from reports.selectors.baselines import FOUND, MONTHLY
from reports.selectors.program_days import ProgramDays
from reports.selectors.savings import Account, Savings, account_of, rows_between, together
from weather.season import Kind

Key = tuple[int, str]


@dataclass(frozen=True)
class Day:
    """One day of some programs, in litres; None where a baseline isn't known or nothing was needed."""

    date: date
    applied_l: float
    found_l: float
    monthly_l: float | None
    withheld_l: float
    saved_l: float
    saved_monthly_l: float | None
    adequacy: float | None
    percent: int | None = None


@dataclass(frozen=True)
class Sky:
    """One day's weather at a site; None where it isn't known."""

    et_mm: float | None
    rain_mm: float | None
    told: str


@dataclass(frozen=True)
class ProgramPart:
    """The days of one program letter."""

    controller: str
    letter: str
    total: Savings
    days: list[Day]


@dataclass(frozen=True)
class SitePart:
    """The days of one site, its weather and its programs."""

    site: Site
    total: Savings
    days: list[Day]
    sky: list[Sky]
    programs: list[ProgramPart]

    @property
    def lines(self) -> list[tuple[Day, Sky]]:
        """Return each day with its weather."""
        return list(zip(self.days, self.sky, strict=True))


@dataclass(frozen=True)
class ClientDays:
    """A client's days: all of them together, then site by site."""

    total: Savings
    days: list[Day]
    sites: list[SitePart]


def client_days(client: Client, *, first: date, last: date, on: date) -> ClientDays | None:
    """Return a client's days from ``first`` to ``last`` as known on ``on``; None if none of them counts.

    The totals are those of the same days on the client's page: both come from one account.
    """
    sites = {site.pk: site for site in client.sites.order_by("name")}
    names = dict(Controller.objects.filter(site__in=sites).values_list("pk", "name"))
    accounts = [a for a in account_of(list(sites), on=on) if _any_day(a, first, last)]
    if not accounts:
        return None
    parts = [part for a in accounts for part in _sites(a, sites, names, first, last)]
    return ClientDays(
        total=together(accounts, first, last),
        days=_added([_days(a.days, first, last, some=None) for a in accounts]),
        sites=sorted(parts, key=lambda part: part.site.name),
    )


def _any_day(account: Account, first: date, last: date) -> bool:
    start, stop = rows_between(account.days, first, last)
    return bool(account.days.began[start:stop].any())


def _sites(
    account: Account, sites: dict[int, Site], names: dict[int, str], first: date, last: date
) -> Iterable[SitePart]:
    data = account.days
    site_of = {c.pk: c.site_id for c in data.field.rows.controllers}
    for site in {site_of[controller]: None for controller, _ in data.programs}:
        keys = [key for key in data.programs if site_of[key[0]] == site]
        yield SitePart(
            site=sites[site],
            total=account.total(first, last, keep=keys.__contains__),
            days=_days(data, first, last, some=keys),
            sky=_sky(data, sites[site], first, last),
            programs=[_program(account, key, names[key[0]], first, last) for key in keys],
        )


def _program(account: Account, key: Key, controller: str, first: date, last: date) -> ProgramPart:
    total = account.total(first, last, keep=lambda one: one == key)
    return ProgramPart(controller, key[1], total, _days(account.days, first, last, some=[key]))


def _days(data: ProgramDays, first: date, last: date, *, some: Sequence[Key] | None) -> list[Day]:
    """Add up the programs of each day (all of them without ``some``)."""
    columns = [n for n, key in enumerate(data.programs) if some is None or key in some]
    start, stop = rows_between(data, first, last)

    def added(values: NDArray[np.float64]) -> list[float]:
        return [float(value) for value in values[start:stop, columns].sum(axis=1)]

    found, monthly = data.against[FOUND], data.against[MONTHLY]
    applied = added(data.applied_l)
    return [
        Day(
            date=data.days[start + n],
            applied_l=applied[n],
            found_l=by_found,
            monthly_l=by_month if np.isfinite(by_month) else None,
            withheld_l=withheld,
            saved_l=by_found - applied[n] - withheld,
            saved_monthly_l=by_month - applied[n] - kept if np.isfinite(by_month) else None,
            adequacy=1.0 - short / need if need > 0 else None,
            percent=int(data.percents[start + n, columns[0]]) if len(columns) == 1 else None,
        )
        for n, (by_found, by_month, withheld, kept, need, short) in enumerate(
            zip(
                added(found.baseline_l),
                added(monthly.baseline_l),
                added(found.withheld_l),
                added(monthly.withheld_l),
                added(data.need_l),
                added(data.short_l),
                strict=True,
            )
        )
    ]


def _sky(data: ProgramDays, site: Site, first: date, last: date) -> list[Sky]:
    window, column = data.field.weather, data.field.column_of(site)
    start, stop = rows_between(data, first, last)
    return [
        Sky(
            et_mm=_known(window.reference_et_mm[row, column]),
            rain_mm=_known(window.rain_mm[row, column])
            if window.rain_kind[row, column] != Kind.NONE
            else None,
            told=data.field.sky.kind_word(row, column),
        )
        for row in range(start, stop)
    ]


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _added(parts: list[list[Day]]) -> list[Day]:
    """Put the days of several timezones together: each date once."""
    if len(parts) == 1:
        return parts[0]
    by_date: dict[date, list[Day]] = {}
    for day in (day for part in parts for day in part):
        by_date.setdefault(day.date, []).append(day)
    return [_one(days) for _, days in sorted(by_date.items())]


def _one(days: list[Day]) -> Day:
    known = all(day.monthly_l is not None for day in days)
    told = [day for day in days if day.adequacy is not None and day.applied_l > 0]
    weight = sum(day.applied_l for day in told)
    return Day(
        date=days[0].date,
        applied_l=sum(day.applied_l for day in days),
        found_l=sum(day.found_l for day in days),
        monthly_l=sum(day.monthly_l or 0.0 for day in days) if known else None,
        withheld_l=sum(day.withheld_l for day in days),
        saved_l=sum(day.saved_l for day in days),
        saved_monthly_l=sum(day.saved_monthly_l or 0.0 for day in days) if known else None,
        adequacy=sum((d.adequacy or 0.0) * d.applied_l for d in told) / weight if weight else None,
    )
