"""Keep the advice on sites as it is computed today, and what people said to it."""

import logging
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone as real_time

from common import clock
from common.errors import Refused
from fleet.models import Site, User
from fleet.selectors.people import require_manage
from fleet.services.holding import held
from scheduling.models import Advice, Change, NightlyRun
from scheduling.selectors.advice import WEEKS_A_YEAR, Found
from scheduling.services.advice_worth import advice_with_worth

log = logging.getLogger(__name__)
MOVED = 0.25  # by so much its water must move before dismissed advice is told again
WHY_MAX = 200
GONE = "This advice is no longer found."
A_BATCH = 500  # sites a job looks at: well within the time a job may take
KEPT = ("kind", "program", "zone", "words", "litres_week", "litres_year", "risk", "facts", "becomes")
REMEMBERED = timedelta(days=30)  # what people said to a line outlives its absence by so much


def advise(sites: Iterable[Site], *, on: date | None = None) -> int:
    """Compute the advice on sites anew; return how many lines there are. One bad site stops no other.

    Parameters
    ----------
    sites
        With client and company, rule, town, tariff and cell; see ``open_sites``.
    on
        Business day; each site's own without it.
    """
    lines = 0
    for site in sites:
        try:
            lines += _store(site, on=on or clock.today(site.timezone))
        except Exception:  # whatever is wrong with one site, the others are looked at
            log.exception("The advice on site %s could not be computed.", site.pk)
    return lines


def advise_timezone(timezone: str, *, after: int = 0) -> tuple[int, int | None]:
    """Compute the advice on a batch of a timezone's open sites anew.

    Parameters
    ----------
    timezone
        Whose sites.
    after
        Number of the last site that was looked at before; they are taken in the order of their numbers.

    Returns
    -------
    int, int or None
        How many lines there are on these sites, and the last one's number where more may follow. Once none
        does, it is noted beside the night the advice follows.
    """
    sites = list(_open().filter(timezone=timezone, pk__gt=after)[:A_BATCH])
    lines = advise(sites)
    if len(sites) == A_BATCH:
        return lines, sites[-1].pk
    night = NightlyRun.objects.filter(date=clock.today(timezone), timezone=timezone)
    night.update(advised_at=real_time.now())
    return lines, None


def open_sites() -> Sequence[Site]:
    """Return every site that isn't closed, with what advice needs beside it."""
    return list(_open())


def site_of(advice: Advice) -> Site:
    """Return the site a line is about, with what advice needs beside it."""
    found: Site = _with_all(Site.objects.filter(pk=advice.controller.site_id)).get()
    return found


def _open() -> QuerySet[Site]:
    return _with_all(Site.objects.exclude(season=Site.Season.CLOSED)).order_by("pk")


def _with_all(sites: QuerySet[Site]) -> QuerySet[Site]:
    rows = sites.select_related("client__company", "watering_rule", "town", "tariff", "cell")
    return rows.prefetch_related("town__rules")


def dismiss(*, advice: Advice, by: User, why: str) -> Advice:
    """Put advice aside, with the reason; said again it is the newer reason.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Refused
        If the reason is missing or too long.
    Gone
        If the line was made anew meanwhile and is no longer found.
    """
    require_manage(by, advice.controller.site.client.company_id)
    text = " ".join(why.replace("\0", " ").split())
    if not text:
        raise Refused("Say why, for the next person.", field="why")
    if len(text) > WHY_MAX:
        raise Refused(f"{WHY_MAX} characters at the most.", field="why")
    with transaction.atomic():
        row = held(advice, gone=GONE)
        row.dismissed_at, row.dismissed_by, row.dismissed_why = real_time.now(), by, text
        row.dismissed_litres = _weight(row)
        row.save(update_fields=["dismissed_at", "dismissed_by", "dismissed_why", "dismissed_litres"])
    return row


def take_up(*, advice: Advice, by: User) -> Advice:
    """Show advice again that was put aside.

    Raises
    ------
    NotAllowed
        If the person is neither owner nor office of the company.
    Gone
        If the line was made anew meanwhile and is no longer found.
    """
    require_manage(by, advice.controller.site.client.company_id)
    with transaction.atomic():
        row = held(advice, gone=GONE)
        _open_again(row)
        row.save()
    return row


def _store(site: Site, *, on: date) -> int:
    found = {(one.controller.pk, one.key): one for one in advice_with_worth(site, on=on)}
    with transaction.atomic():
        stored = {
            (row.controller_id, row.key): row
            for row in Advice.objects.select_for_update().filter(controller__site=site)
        }
        _let_go([row for key, row in stored.items() if key not in found], on=on)
        changes = Change.objects.defer("inputs", "detail").in_bulk(
            [row.change_id for row in stored.values() if row.change_id is not None]
        )
        for key, one in found.items():
            row = stored.get(key) or Advice(controller=one.controller, key=one.key, found_on=on)
            refill(row, one, site=site, on=on)
            if row.change_id is not None and _is_over(changes[row.change_id], on=on):
                row.change = None
            row.save()
    return len(found)


def _let_go(rows: list[Advice], *, on: date) -> None:
    """Take lines off that are no longer found; keep for a month what people said to them."""
    for row in rows:
        since = row.gone_on or on
        said = row.dismissed_at is not None or row.change_id is not None
        if not said or on - since > REMEMBERED:
            row.delete()
        elif row.gone_on is None:
            row.gone_on = on
            row.save(update_fields=["gone_on"])


def _is_over(change: Change, *, on: date) -> bool:
    """Tell whether a change no longer stands for the line: it ran at least a night, or came to nothing."""
    if change.status == Change.Status.APPLIED:
        return change.applied_on is not None and change.applied_on < on
    return change.status in (Change.Status.SUPERSEDED, Change.Status.EXPIRED)


def refill(row: Advice, found: Found, *, site: Site, on: date) -> None:
    """Let a line say what was found today; what people said to it stays, unless it is about more by now."""
    worse = row.dismissed_at is not None and (found.risk > row.risk or _graver(row.facts, found.facts))
    for name in KEPT:
        setattr(row, name, getattr(found, name))
    row.looked_on, row.gone_on = on, None
    row.currency = site.tariff.currency if site.tariff is not None else site.client.company.currency
    litres = found.litres_year if found.litres_year is not None else (found.litres_week or 0.0) * WEEKS_A_YEAR
    row.money_year = (
        (Decimal(litres) / 1000 * site.tariff.price_per_m3).quantize(Decimal("0.01"))
        if site.tariff is not None and litres
        else None
    )
    if row.dismissed_litres is not None:
        before = row.dismissed_litres
        if worse or abs(_weight(row) - before) > MOVED * max(before, 1.0):
            _open_again(row)


def _graver(before: dict[str, Any], now: dict[str, Any]) -> bool:
    """Tell whether advice is about more than it was: more of a rule, soil drier by a quarter."""
    if set(now.get("against", ())) - set(before.get("against", ())):
        return True
    was, over = before.get("over_share"), now.get("over_share")
    return was is not None and over is not None and over > was * (1 + MOVED)


def _open_again(row: Advice) -> None:
    row.dismissed_at = row.dismissed_by = row.dismissed_litres = None
    row.dismissed_why = ""


def _weight(row: Advice) -> float:
    """Return the water a line is about: what runs off or is spared elsewhere too, where it says so. [L]"""
    about = row.facts.get("runoff_l_week") or row.facts.get("spared_l_week")
    litres = row.litres_week if row.litres_week is not None else row.litres_year or 0.0
    return float(about if about is not None else abs(litres))
