"""The morning sheet: what needs somebody today, what the night did, what comes tonight, who goes out."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from fleet.models import Finding, Visit
from fleet.tenancy import TenantQuerySet
from scheduling.delivery import channel_named
from scheduling.models import Change, NightlyRunCompany
from scheduling.models.changes import SKIPS
from scheduling.selectors.attention import Gap, LateWeather, gaps, late_weather, not_entered, open_findings
from scheduling.selectors.changes import changes_for
from scheduling.selectors.remembered import remembered
from scheduling.selectors.run_log import nights_of
from scheduling.selectors.tonight import Tonight, tonight
from scheduling.selectors.week import Totals, decided_lately, week_totals
from scheduling.selectors.week_rows import Row, rows_of

STALE_DAYS = 3
WORST = 5
RISKIEST = ("-risk_keep_level", "-risk_change_level", "pk")


@dataclass(frozen=True)
class GoingOut:
    """A visit of today with the changes that wait for it."""

    visit: Visit
    changes: int
    litres: float


@dataclass(frozen=True)
class Morning:
    """Everything on the sheet."""

    totals: Totals
    at_risk: Sequence[Change]
    skips: Sequence[Row]
    not_entered: Sequence[Change]
    gaps: Sequence[Gap]
    late_weather: Sequence[LateWeather]
    findings: Sequence[Finding]
    last_nights: Sequence[NightlyRunCompany]
    tonight: Tonight
    going_out: Sequence[GoingOut]

    @property
    def calm(self) -> bool:
        """Tell whether nothing needs anybody."""
        lists = (self.not_entered, self.gaps, self.late_weather, self.findings)
        return not self.totals.changes and not any(lists)


def morning(user: Any, company_id: int, *, on: date, timezone: str) -> Morning:
    """Return the sheet of one company for one day."""
    changes = changes_for(user).of_company(company_id)
    pending = changes.filter(status=Change.Status.PENDING)
    risky = pending.filter(risk_keep_level__gte=1).order_by(*RISKIEST)
    return Morning(
        totals=week_totals(user, company_id, lately=decided_lately(on, timezone, days=7)),
        at_risk=_worst(changes, risky),
        skips=_skips(pending, night=on),
        not_entered=not_entered(user, company_id, lately=decided_lately(on, timezone, days=STALE_DAYS)),
        gaps=gaps(company_id, on=on),
        late_weather=late_weather(company_id, on=on),
        findings=open_findings(user, company_id),
        last_nights=_last_nights(user, company_id, on=on),
        tonight=remembered(f"tonight:{on}", company_id, lambda: tonight(company_id, night=on)),
        going_out=_going_out(user, company_id, on=on),
    )


def _worst(changes: TenantQuerySet[Change], risky: QuerySet[Change]) -> list[Change]:
    """Return the first few of the changes at risk; what stands around them is read for these alone.

    Asked in one go, every change at risk is joined with its zone, site and client before all but a few are
    left out; as a subquery the planner of PostgreSQL does the same.
    """
    numbers = list(risky.values_list("pk", flat=True)[:WORST])
    return list(changes.filter(pk__in=numbers).order_by(*RISKIEST))


def _skips(pending: QuerySet[Change], *, night: date) -> list[Row]:
    tonight_only = pending.filter(kind__in=SKIPS).filter(effective_from__lte=night, effective_to__gte=night)
    rows = rows_of(tonight_only)
    return sorted(rows, key=lambda row: (row.last_call is None, row.last_call or 0, row.change.pk))


def _last_nights(user: Any, company_id: int, *, on: date) -> list[NightlyRunCompany]:
    """Return the latest night's parts, one for each time zone."""
    recent = list(nights_of(user, company_id).filter(run__date__lte=on)[:10])
    return [part for part in recent if part.run.date == recent[0].run.date]


def _going_out(user: Any, company_id: int, *, on: date) -> list[GoingOut]:
    visits = (
        Visit.objects.visible_to(user)
        .of_company(company_id)
        .filter(date=on, done_at=None)
        .select_related("site__client")
        .order_by("site__client__name", "site__name")
    )
    approved = Change.objects.visible_to(user).of_company(company_id).filter(status=Change.Status.APPROVED)
    counts: Counter[int] = Counter()
    litres: dict[int, float] = defaultdict(float)
    for site, delivery, water in approved.order_by().values_list(
        "program__controller__site_id", "program__controller__delivery", "effect_litres"
    ):
        if channel_named(delivery).needs_visit:
            counts[site] += 1
            litres[site] += water or 0
    return [GoingOut(v, changes=counts[v.site_id], litres=litres[v.site_id]) for v in visits]
