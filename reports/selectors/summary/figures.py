"""The figures of a client's month: what its e-mail, its paper, its page and the interface all show."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np

from common import clock
from common.months import last_of_month, month_before
from fleet.models import Client, Site, Zone
from reports.selectors.baselines import FOUND, MONTHLY
from reports.selectors.savings import Account, Savings, account_of, added
from reports.selectors.summary.coming import coming_of
from reports.selectors.summary.doings import doings_of
from reports.selectors.summary.meters import meters_of_month
from reports.selectors.summary.skies import Sky, skies_of
from scheduling.season.survey import assumed_of

Figures = dict[str, Any]
MONTHS_BACK = 12


def month_figures(clients: Sequence[Client], month: date) -> dict[int, Figures]:
    """Return the figures of some clients for the month beginning on ``month``, as JSON can hold them.

    Amounts in litres and mm, ratios from 0 to 1, days as ISO dates. As many queries for many clients as for
    few; take a hundred at a time. A client without weather or sites has ``applied_l`` None and says why in
    ``empty``. ``through`` is the last day counted: of a month that still runs, yesterday.
    """
    ids = [client.pk for client in clients]
    sites = list(
        Site.objects.filter(client__in=ids).select_related("client__company", "tariff").order_by("name", "pk")
    )
    mine: dict[int, list[Site]] = {pk: [] for pk in ids}
    for site in sites:
        mine[site.client_id].append(site)
    end = last_of_month(month)
    accounts = [
        account
        for timezone in sorted({site.timezone for site in sites})
        for account in account_of(
            [site.pk for site in sites if site.timezone == timezone], on=clock.today(timezone)
        )
    ]
    skies = skies_of(sites, first=month, last=end)
    done = doings_of(ids, first=month, last=end)
    on = max((clock.today(site.timezone) for site in sites), default=clock.today("UTC"))
    coming = coming_of(ids, on=on)
    assumed = _assumed(ids)
    meters = meters_of_month(ids, month, through=on - timedelta(days=1))
    owner = {site.pk: site.client_id for site in sites}
    return {
        client.pk: _figures(client, month, mine[client.pk], _Accounts(accounts, owner), skies)
        | meters.get(client.pk, {"metered": None, "measured": None})
        | {"done": done[client.pk], "next": coming[client.pk], "assumed": assumed.get(client.pk, [])}
        for client in clients
    }


class _Accounts:
    """The accounts of many clients, asked for one client or site at a time."""

    def __init__(self, accounts: Sequence[Account], owner: dict[int, int]) -> None:
        self._parts = [
            (account, {c.pk: c.site_id for c in account.days.field.rows.controllers}) for account in accounts
        ]
        self._owner = owner

    def of(self, sites: set[int], first: date, last: date) -> Savings | None:
        """Return the savings of some sites, None where none of their programs counts."""
        parts = [
            account.total(first, last, keep=_those(site_of, sites))
            for account, site_of in self._parts
            if sites & {*site_of.values()}
        ]
        return added(parts) if parts else None

    def began(self, sites: set[int]) -> date | None:
        """Return the first day anything of some sites counts."""
        days = []
        for account, site_of in self._parts:
            columns = [n for n, key in enumerate(account.days.programs) if site_of[key[0]] in sites]
            rows = np.flatnonzero(account.days.began[:, columns].any(axis=1))
            if rows.size:
                days.append(account.days.days[int(rows[0])])
        return min(days, default=None)


def _those(site_of: dict[int, int], sites: set[int]) -> Callable[[tuple[int, str]], bool]:
    return lambda program: site_of[program[0]] in sites


def _figures(
    client: Client, month: date, sites: list[Site], accounts: _Accounts, skies: dict[int, Sky]
) -> Figures:
    here = {site.pk for site in sites}
    yesterday = max((clock.today(site.timezone) for site in sites), default=month) - timedelta(days=1)
    through = min(last_of_month(month), yesterday)
    began = accounts.began(here)
    counts = began is not None and began <= through and month <= through
    total = accounts.of(here, month, through) if counts else None
    base: Figures = {
        "client": client.pk,
        "name": client.name,
        "month": f"{month:%Y-%m}",
        "from": max(month, began).isoformat()
        if began is not None and began <= through
        else month.isoformat(),
        "through": through.isoformat(),
        "complete": through == last_of_month(month),
        "units": client.company.units,
        "kind": "estimated",
        "baseline": FOUND,
        "empty": "" if total is not None else _why_empty(sites, through < month),
        "weather": [
            {"site": site.name, **skies[site.cell_id]}
            for site in _one_a_cell(sites)
            if site.cell_id is not None
        ],
    }
    base |= _savings(total, client.company.currency)
    base["sites"] = [
        {"site": site.pk, "name": site.name, "closed": site.season == Site.Season.CLOSED}
        | _short(accounts.of({site.pk}, month, through) if total is not None else None)
        for site in sites
    ]
    base["months"] = _months(accounts, here, began, through) if began is not None else []
    return base


def _savings(total: Savings | None, currency: str) -> Figures:
    found = total.found if total is not None else None
    monthly = total.monthly if total is not None else None
    return {
        "applied_l": total.applied_l if total is not None else None,
        "baseline_l": found.baseline_l if found is not None else None,
        "withheld_l": found.withheld_l if found is not None else None,
        "saved_l": found.saved_l if found is not None else None,
        "uncertainty_l": None,
        "detected": None,
        "money": str(found.money) if found is not None and found.money is not None else None,
        "currency": total.currency if total is not None else currency,
        "adequacy": total.adequacy if total is not None else None,
        "beside": {
            "baseline": MONTHLY,
            "baseline_l": monthly.baseline_l if monthly is not None else None,
            "saved_l": monthly.saved_l if monthly is not None else None,
        },
        "left_out": total.left_out if total is not None else [],
        "budget_l": total.budget_l if total is not None else None,
    }


def _short(total: Savings | None) -> Figures:
    if total is None:
        return {"applied_l": None, "baseline_l": None, "saved_l": None, "adequacy": None}
    return {
        "applied_l": total.applied_l,
        "baseline_l": total.found.baseline_l,
        "saved_l": total.found.saved_l,
        "adequacy": total.adequacy,
    }


def _months(accounts: _Accounts, here: set[int], began: date, through: date) -> list[Figures]:
    """Return the last twelve months to this one, those before the account began left out."""
    first = through.replace(day=1)
    firsts = [first]
    while len(firsts) < MONTHS_BACK and firsts[0] > began:
        firsts.insert(0, month_before(firsts[0]))
    rows = []
    for begin in firsts:
        total = accounts.of(here, begin, min(last_of_month(begin), through))
        if total is not None:
            rows.append(
                {
                    "month": f"{begin:%Y-%m}",
                    "applied_l": total.applied_l,
                    "baseline_l": total.found.baseline_l,
                    "monthly_l": total.monthly.baseline_l,
                }
            )
    return rows


def _one_a_cell(sites: list[Site]) -> list[Site]:
    """Return one site for each weather cell."""
    seen: dict[int | None, Site] = {}
    for site in sites:
        seen.setdefault(site.cell_id, site)
    return list(seen.values())


def _why_empty(sites: list[Site], future: bool) -> str:
    if not sites:
        return "no site is written down yet"
    if future:
        return "the month hasn't begun"
    if all(site.cell_id is None for site in sites):
        return "no weather is stored yet for its sites"
    return "nothing was counted in this month: the account of its sites began later, or no program is known"


def _assumed(client_ids: Sequence[int]) -> dict[int, list[Figures]]:
    """Return what is assumed about each client's zones: how many zones a value is assumed at."""
    found: dict[int, dict[str, int]] = {}
    zones = Zone.objects.filter(controller__site__client__in=client_ids).select_related("controller__site")
    for zone in zones:
        mine = found.setdefault(zone.controller.site.client_id, {})
        for what in assumed_of(zone):
            mine[what] = mine.get(what, 0) + 1
    return {
        pk: [{"what": what, "zones": count} for what, count in mine.items()] for pk, mine in found.items()
    }
