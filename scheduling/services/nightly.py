"""The night: pull weather, recompute, propose; one run per timezone, told in plain words."""

import logging
from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone as real_time

from common import clock
from fleet.models import Company, Site
from fleet.services.repeats import forget_old_answers
from scheduling.models import NightlyRun
from scheduling.selectors.season_load import load_season
from scheduling.services.after_night import run_steps
from scheduling.services.decide import decide
from scheduling.services.groups import Group
from scheduling.services.night_report import NightReport, store_reports
from scheduling.services.night_weather import pull_weather
from scheduling.services.reconcile import expire, reconcile

log = logging.getLogger(__name__)

SITES_AT_ONCE = 1_000  # about 16,000 zones
STALE_AFTER = timedelta(minutes=10)


class NightAlreadyRunning(Exception):
    """Another process works on the same night right now."""


def run_nights(
    *, on: date | None = None, timezone: str | None = None
) -> list[tuple[NightlyRun, NightReport]]:
    """Run the night of every timezone with sites, or of one.

    Parameters
    ----------
    on
        Decide on the morning of this day; the business day of each timezone if None.

    Returns
    -------
    list of (NightlyRun, NightReport)
        The row of each timezone's night, and what this time did.
    """
    zones = Site.objects.order_by("timezone").values_list("timezone", flat=True).distinct()
    return [
        run_night(on=on or clock.today(zone), timezone=zone) for zone in zones if timezone in (None, zone)
    ]


def run_night(*, on: date, timezone: str) -> tuple[NightlyRun, NightReport]:
    """Run one night; a second time changes nothing.

    Raises
    ------
    NightAlreadyRunning
        If another process has the same night in hand.
    """
    run = _claim(on=on, timezone=timezone)
    report = NightReport(on=on, timezone=timezone)
    try:
        _run(run, report)
    except BaseException:  # also when somebody stops it from the keyboard
        NightlyRun.objects.filter(pk=run.pk).update(
            state=NightlyRun.State.ABORTED, finished_at=real_time.now()
        )
        raise
    store_reports(run, report)
    run_steps(on=on, timezone=timezone)
    return run, report


def _run(run: NightlyRun, report: NightReport) -> None:
    sites = list(
        Site.objects.filter(timezone=run.timezone)
        .select_related("cell", "client__company")
        .order_by("client__company", "cell", "pk")
    )
    report.add_closed([site for site in sites if site.season == Site.Season.CLOSED])
    open_sites = [site for site in sites if site.season != Site.Season.CLOSED]
    weather = pull_weather(open_sites, on=run.date, timezone=run.timezone)
    report.add_weather(weather, open_sites)
    for stretch in _chunks(sites):
        report.add_expired(expire(on=run.date, site_ids=[site.pk for site in stretch]))
    usable = [site for site in open_sites if site.cell_id is not None]
    for stretch in _chunks(usable):
        _decide_isolated(stretch, run=run, report=report)
        NightlyRun.objects.filter(pk=run.pk).update(heartbeat_at=real_time.now())
    forget_old_answers()


def _decide_isolated(sites: Sequence[Site], *, run: NightlyRun, report: NightReport) -> None:
    """Decide on a stretch of sites; if it fails, on its halves, so that one bad site stands alone."""
    try:
        _decide(sites, run=run, report=report)
    except Exception as error:
        if len(sites) == 1:
            log.exception("site %s could not be computed", sites[0].pk)
            report.add_failed_site(sites[0], error)
            return
        middle = len(sites) // 2
        _decide_isolated(sites[:middle], run=run, report=report)
        _decide_isolated(sites[middle:], run=run, report=report)


def _decide(sites: Sequence[Site], *, run: NightlyRun, report: NightReport) -> None:
    ids = [site.pk for site in sites]
    loaded = load_season(ids, on=run.date, timezone=run.timezone)
    decided = decide(loaded, now=clock.moment(run.date, run.timezone))
    for company, groups in _by_company(decided.groups):
        leads = {group.lead.pk for group in groups}
        tally = reconcile(
            on=run.date,
            groups=groups,
            proposals={key: p for key, p in decided.proposals.items() if key[0] in leads},
            kinds=decided.kinds,
            run_id=run.pk,
        )
        report.add_groups(company, groups, tally)
    _store_starts(loaded.field.rows.sites)


def _store_starts(sites: Sequence[Site]) -> None:
    for site in sites:
        if site.balance_from is not None:
            Site.objects.filter(pk=site.pk, balance_from=None).update(balance_from=site.balance_from)


def _by_company(groups: list[Group]) -> Iterator[tuple[Company, list[Group]]]:
    by_company: dict[int, list[Group]] = {}
    for group in groups:
        by_company.setdefault(group.site.client.company_id, []).append(group)
    for members in by_company.values():
        yield members[0].site.client.company, members


def _chunks(rows: Sequence[Any]) -> Iterator[Any]:
    for first in range(0, len(rows), SITES_AT_ONCE):
        yield rows[first : first + SITES_AT_ONCE]


def _claim(*, on: date, timezone: str) -> NightlyRun:
    now = real_time.now()
    fields: dict[str, datetime | str | None] = {
        "state": NightlyRun.State.RUNNING,
        "started_at": now,
        "heartbeat_at": now,
        "finished_at": None,
    }
    rows = NightlyRun.objects.filter(date=on, timezone=timezone)
    idle = rows.exclude(state=NightlyRun.State.RUNNING, heartbeat_at__gt=now - STALE_AFTER)
    if idle.update(**fields):
        return rows.get()
    try:
        with transaction.atomic():
            return NightlyRun.objects.create(date=on, timezone=timezone, **fields)
    except IntegrityError:
        since = rows.values_list("heartbeat_at", flat=True).get()
        free_at = (since or now) + STALE_AFTER
        raise NightAlreadyRunning(
            f"The night of {on} in {timezone} is being worked on by another process. "
            f"If that one was killed, the night can be run again from {free_at:%H:%M} UTC on."
        ) from None
