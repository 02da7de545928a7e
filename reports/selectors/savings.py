"""Estimated savings, the one place pages and the interface read them from.

``saved = baseline - applied - withheld``, where ``withheld`` is the water it would take to give thirsty
plants what they went without under us and not under the baseline.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from common.months import last_of_month
from fleet.models import Client, Site
from reports.selectors.account_money import Prices, prices_of
from reports.selectors.baselines import FOUND, MONTHLY, NAMES
from reports.selectors.budget_days import budget_days
from reports.selectors.program_days import BASELINES, ProgramDays, days_of, program_days
from scheduling.season.field import Field

ESTIMATED = "estimated"


@dataclass(frozen=True)
class Versus:
    """Savings against one baseline; None where the baseline isn't known."""

    baseline: str
    baseline_l: float | None
    withheld_l: float
    saved_l: float | None
    money: Decimal | None
    counted: tuple[str, ...] = ()  # how the money was, where that isn't plain

    @property
    def words(self) -> str:
        """Say what the baseline is."""
        return NAMES[self.baseline]


@dataclass(frozen=True)
class Savings:
    """What was applied and saved over some days, first and last included."""

    first: date
    last: date
    applied_l: float
    adequacy: float | None
    currency: str
    found: Versus
    monthly: Versus
    left_out: list[str]
    kind: str = ESTIMATED
    budget_l: float | None = None  # the water budget of the same days and zones, for context

    @property
    def of_budget(self) -> float | None:
        """Return what was applied as a share of the water budget. [-]"""
        return self.applied_l / self.budget_l if self.budget_l else None

    @property
    def counted_words(self) -> list[str]:
        """Say how money was counted, where that isn't plain."""
        return list(dict.fromkeys([*self.found.counted, *self.monthly.counted]))

    def against(self, baseline: str) -> Versus:
        """Return the savings against one baseline by name."""
        return self.found if baseline == FOUND else self.monthly


@dataclass(frozen=True)
class DayOfProgram:
    """One day of a program, the bottom of every total."""

    date: date
    percent: int
    applied_l: float
    found_l: float
    monthly_l: float | None
    withheld_found_l: float
    withheld_monthly_l: float
    need_l: float
    short_l: float


@dataclass(frozen=True)
class Account:
    """The days of some sites of one timezone, and the price of water at each program's site."""

    days: ProgramDays
    prices: Prices

    @cached_property
    def budget(self) -> dict[int, NDArray[np.float64]]:
        """Return the water budget of each site by day. [L]"""
        return budget_days(self.days)

    def total(
        self, first: date, last: date, *, keep: Callable[[tuple[int, str]], bool] | None = None
    ) -> Savings:
        """Add up days from ``first`` to ``last`` over the programs that ``keep`` says (all without it)."""
        data = self.days
        rows = slice(*rows_between(data, first, last))
        some = np.array([keep is None or keep(key) for key in data.programs], dtype=bool)
        need, short = float(data.need_l[rows][:, some].sum()), float(data.short_l[rows][:, some].sum())
        versus = {name: self._versus(name, rows, some) for name in BASELINES}
        controllers = {key[0] for key, chosen in zip(data.programs, some, strict=True) if chosen}
        return Savings(
            first=first,
            last=last,
            applied_l=float(data.applied_l[rows][:, some].sum()),
            adequacy=1.0 - short / need if need > 0 else None,
            currency=self.prices.currency(some),
            budget_l=self._budget(rows, some),
            found=versus[FOUND],
            monthly=versus[MONTHLY],
            left_out=data.left_out(first, last, of_controller=controllers.__contains__)
            if keep is not None
            else data.left_out(first, last),
        )

    def of_program(self, program: tuple[int, str], first: date, last: date) -> list[DayOfProgram]:
        """Return the days behind a program's total."""
        data, column = self.days, self.days.programs.index(program)
        start, stop = rows_between(data, first, last)
        found, monthly = data.against[FOUND], data.against[MONTHLY]
        return [
            DayOfProgram(
                date=data.days[row],
                percent=int(data.percents[row, column]),
                applied_l=float(data.applied_l[row, column]),
                found_l=float(found.baseline_l[row, column]),
                monthly_l=_known(monthly.baseline_l[row, column]),
                withheld_found_l=float(found.withheld_l[row, column]),
                withheld_monthly_l=float(monthly.withheld_l[row, column]),
                need_l=float(data.need_l[row, column]),
                short_l=float(data.short_l[row, column]),
            )
            for row in range(start, stop)
        ]

    def _budget(self, rows: slice, some: NDArray[np.bool_]) -> float | None:
        sites = {site.pk for site, chosen in zip(self.prices.sites, some, strict=True) if chosen}
        litres = float(sum(self.budget[pk][rows].sum() for pk in sites))
        return litres if np.isfinite(litres) and litres > 0.0 else None

    def _versus(self, name: str, rows: slice, some: NDArray[np.bool_]) -> Versus:
        data, one = self.days, self.days.against[name]
        baseline, withheld = one.baseline_l[rows], one.withheld_l[rows]
        withheld_l = float(withheld[:, some].sum())
        if np.isnan(baseline[:, some]).any() or not some.any():
            return Versus(name, None, withheld_l, None, None)
        saved = baseline - data.applied_l[rows] - withheld
        money, counted = self.prices.money(data, rows, some, saved)
        return Versus(
            baseline=name,
            baseline_l=float(baseline[:, some].sum()),
            withheld_l=withheld_l,
            saved_l=float(saved[:, some].sum()),
            money=money,
            counted=tuple(counted),
        )


def account_of(site_ids: Sequence[int], *, on: date) -> list[Account]:
    """Return the accounts of some sites before ``on``, one a timezone; sites without weather are left out."""
    sites = list(
        Site.objects.filter(pk__in=site_ids, cell__isnull=False).select_related("tariff", "client__company")
    )
    accounts = []
    for timezone in sorted({site.timezone for site in sites}):
        here = [site for site in sites if site.timezone == timezone]
        days = program_days([site.pk for site in here], on=on, timezone=timezone)
        accounts.append(_account(here, days))
    return accounts


def _account(sites: Sequence[Site], days: ProgramDays) -> Account:
    return Account(days=days, prices=prices_of(sites, days))


def client_savings_by_month(client: Client, *, on: date) -> tuple[list[Savings], Savings | None]:
    """Return a client's savings month by month up to yesterday, and of this year; empty without weather.

    The months are those of the soil water account.
    """
    accounts = account_of(list(client.sites.values_list("pk", flat=True)), on=on)
    if not accounts:
        return [], None
    firsts = sorted({day.replace(day=1) for account in accounts for day in account.days.days})
    yesterday = on - timedelta(days=1)
    months = [together(accounts, first, min(last_of_month(first), yesterday)) for first in firsts]
    months = [month for month in months if month.applied_l > 0 or (month.found.baseline_l or 0) > 0]
    year = together(accounts, on.replace(month=1, day=1), yesterday) if months else None
    return months, year


def together(accounts: Sequence[Account], first: date, last: date) -> Savings:
    """Add up some accounts from ``first`` to ``last``."""
    return added([account.total(first, last) for account in accounts])


def site_savings(site: Site, season: Field, *, on: date) -> tuple[Savings, Savings] | None:
    """Return a site's savings of the running month and of this year; None if nothing counts yet.

    ``season`` is the site's, as read for the morning of ``on``.
    """
    account = _account([site], days_of(season))
    if not account.days.days:
        return None
    yesterday = on - timedelta(days=1)
    year = account.total(on.replace(month=1, day=1), yesterday)
    return (account.total(on.replace(day=1), yesterday), year) if year.applied_l else None


def client_savings(client: Client, *, first: date, last: date, on: date) -> Savings:
    """Return a client's savings from ``first`` to ``last``, both included, as known on the morning of ``on``.

    From that day on nothing counts. What is known today also bears on days long gone: a soil observation, a
    correction of the weather; so the same days give the same figures wherever they are shown.
    """
    accounts = account_of(list(client.sites.values_list("pk", flat=True)), on=on)
    if not accounts:
        nothing = [Versus(name, None, 0.0, None, None) for name in BASELINES]
        return Savings(first, last, 0.0, None, client.company.currency, nothing[0], nothing[1], [])
    return together(accounts, first, last)


def added(parts: list[Savings]) -> Savings:
    """Add up the parts, one at least, of a client whose sites lie in several timezones."""
    if len(parts) == 1:
        return parts[0]
    applied = sum(part.applied_l for part in parts)
    told = [part for part in parts if part.adequacy is not None and part.applied_l > 0]
    weight = sum(part.applied_l for part in told)
    return Savings(
        first=parts[0].first,
        last=parts[0].last,
        applied_l=applied,
        adequacy=sum((p.adequacy or 0.0) * p.applied_l for p in told) / weight if weight else None,
        currency=parts[0].currency,
        budget_l=sum(part.budget_l or 0.0 for part in parts) or None,
        found=_added_versus(parts, FOUND),
        monthly=_added_versus(parts, MONTHLY),
        left_out=list(dict.fromkeys(word for part in parts for word in part.left_out)),
    )


def _added_versus(parts: list[Savings], name: str) -> Versus:
    each = [part.against(name) for part in parts]
    known = all(part.saved_l is not None for part in each)
    counted = list(dict.fromkeys(words for part in each for words in part.counted))
    money = [part.money for part in each]
    currencies = sorted({part.currency for part in parts})
    if len(currencies) > 1:
        counted.append(f"prices in {' and '.join(currencies)} aren't added up")
    told = known and None not in money and len(currencies) == 1
    return Versus(
        baseline=name,
        baseline_l=sum(part.baseline_l or 0.0 for part in each) if known else None,
        withheld_l=sum(part.withheld_l for part in each),
        saved_l=sum(part.saved_l or 0.0 for part in each) if known else None,
        money=sum((m or Decimal(0) for m in money), Decimal(0)) if told else None,
        counted=tuple(counted),
    )


def rows_between(days: ProgramDays, first: date, last: date) -> tuple[int, int]:
    """Return the rows of the days from ``first`` to ``last``, the second not included."""
    begin = days.field.days[0]
    start = max((first - begin).days, 0)
    return start, max(min((last - begin).days + 1, len(days.days)), start)


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
