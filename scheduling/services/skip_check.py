"""The late-afternoon check: the newest forecast decides again on tonight's skips, and on nothing else."""

from dataclasses import dataclass
from datetime import date, time

from django.utils import timezone as real_time

from common import clock
from fleet.models import Site
from scheduling.models import NightlyRun, NightlyRunCompany
from scheduling.selectors.season_load import load_season
from scheduling.services.decide import SKIP_KINDS, decide
from scheduling.services.night_weather import pull_forecast
from scheduling.services.reconcile import reconcile

AT = time(16, 0)


@dataclass(frozen=True)
class SkipCheckCounts:
    """What an afternoon check did in one timezone."""

    timezone: str
    date: date
    proposed: int
    superseded: int
    unchanged: int
    failures: int


def run_skip_checks(*, on: date | None = None) -> list[SkipCheckCounts]:
    """Check the skips of the coming night in every timezone with sites."""
    zones = Site.objects.order_by("timezone").values_list("timezone", flat=True).distinct()
    return [check_skips(on=on or clock.today(zone), timezone=zone) for zone in zones]


def check_skips(*, on: date, timezone: str) -> SkipCheckCounts:
    """Pull the newest forecast and decide again on the skips of the night of ``on``.

    A skip that is no longer warranted and not yet decided is withdrawn; one that now is, is proposed if the
    word can still reach the controller before its first start.
    """
    sites = list(
        Site.objects.filter(timezone=timezone, cell__isnull=False)
        .exclude(season=Site.Season.CLOSED)
        .select_related("cell", "client__company")
        .order_by("client__company", "pk")
    )
    now = clock.moment(on, timezone, at=AT)
    failures = pull_forecast(sites, on=on, timezone=timezone, issued_at=now)
    totals = {"proposed": 0, "superseded": 0, "unchanged": 0}
    run = NightlyRun.objects.filter(date=on, timezone=timezone).first()
    by_company: dict[int, list[Site]] = {}
    for site in sites:
        by_company.setdefault(site.client.company_id, []).append(site)
    for company, members in by_company.items():
        loaded = load_season([s.pk for s in members], on=on, timezone=timezone, known_by=now)
        decided = decide(loaded, now=now, kinds=SKIP_KINDS)
        tally = reconcile(
            on=on,
            groups=decided.groups,
            proposals=decided.proposals,
            kinds=decided.kinds,
            run_id=run.pk if run else None,
        )
        counts = {
            "proposed": len(tally.proposed),
            "superseded": tally.superseded,
            "unchanged": tally.unchanged,
        }
        totals = {name: totals[name] + counts[name] for name in totals}
        if run is not None:
            NightlyRunCompany.objects.filter(run=run, company=company).update(
                skip_words=_words(counts, failures)
            )
    if run is not None:
        NightlyRun.objects.filter(pk=run.pk).update(skip_check_at=real_time.now())
    return SkipCheckCounts(timezone=timezone, date=on, failures=len(failures), **totals)


def _words(counts: dict[str, int], failures: list[dict[str, object]]) -> list[str]:
    words = []
    if failures:
        words.append("The newest forecast could not be read everywhere; this morning's was used there.")
    if not counts["proposed"] and not counts["superseded"]:
        words.append("The afternoon's forecast changes nothing about tonight.")
    if counts["proposed"]:
        words.append(f"{counts['proposed']} more skips are proposed for tonight.")
    if counts["superseded"]:
        words.append(f"{counts['superseded']} skips are no longer needed and were withdrawn.")
    return words
