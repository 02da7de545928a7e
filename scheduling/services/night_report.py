"""What a night did, counted and told in plain words, for everyone and for each company by itself."""

from collections import Counter
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from typing import Any

from django.db.models import Max
from django.utils import timezone as real_time

from fleet.models import Company, Site
from scheduling.models import Change, NightlyRun, NightlyRunCompany
from scheduling.services.groups import INCOMPLETE, LEFT_ALONE, NO_WEATHER, Group
from scheduling.services.night_weather import NightWeather
from scheduling.services.reconcile import Tally
from weather.models import ObservedDay

COUNTS = (
    "cells",
    "programs",
    "proposed",
    "unchanged",
    "superseded",
    "expired",
    "auto_approved",
    "incomplete",
    "failed",
)
DONE_ONCE = ("proposed", "superseded", "expired", "auto_approved")  # a second run of a night adds to these

Failure = dict[str, Any]


@dataclass
class CompanyPart:
    """One company's part of a night."""

    company: Company
    cells: set[int] = dataclass_field(default_factory=set)
    counts: Counter[str] = dataclass_field(default_factory=Counter)
    failures: list[Failure] = dataclass_field(default_factory=list)
    closed: int = 0
    left_alone: int = 0
    skips: int = 0


@dataclass
class NightReport:
    """Collects what happens while a night runs."""

    on: date
    timezone: str
    weather: NightWeather = dataclass_field(default_factory=NightWeather)
    parts: dict[int, CompanyPart] = dataclass_field(default_factory=dict)
    counts: dict[str, int] = dataclass_field(default_factory=dict)
    failures: list[Failure] = dataclass_field(default_factory=list)

    def part(self, company: Company) -> CompanyPart:
        """Return a company's part, made when first asked for."""
        return self.parts.setdefault(company.pk, CompanyPart(company))

    def add_closed(self, sites: list[Site]) -> None:
        """Note the sites that are closed and left alone."""
        for site in sites:
            self.part(site.client.company).closed += 1

    def add_weather(self, weather: NightWeather, sites: list[Site]) -> None:
        """Note what was pulled, and whose sites it concerns."""
        self.weather = weather
        for site in sites:
            if site.cell_id is not None:
                self.part(site.client.company).cells.add(site.cell_id)
        for site, code, message in weather.failed_sites:
            self._fail(site.client.company, _failure("site", site.pk, code, f"{site.name}: {message}"))

    def add_failed_site(self, site: Site, error: Exception) -> None:
        """Note a site that could not be computed; the others went on."""
        message = (
            f"{site.name} could not be computed ({type(error).__name__}); its programs stay as they are."
        )
        self._fail(site.client.company, _failure("site", site.pk, "not_computed", message))

    def add_groups(self, company: Company, groups: list[Group], tally: Tally) -> None:
        """Note what came of a company's decision units."""
        part = self.part(company)
        part.counts["programs"] += sum(len(group.columns) for group in groups)
        part.counts["proposed"] += len(tally.proposed)
        part.counts["unchanged"] += tally.unchanged
        part.counts["superseded"] += tally.superseded
        part.counts["auto_approved"] += tally.auto_approved
        part.skips += sum(change.kind != Change.Kind.PERCENT for change in tally.proposed)
        for group in groups:
            part.left_alone += group.state == LEFT_ALONE
            if group.state == INCOMPLETE:
                part.counts["incomplete"] += 1
                part.failures.append(_incomplete(group))
            elif group.state == NO_WEATHER:
                part.counts["failed"] += 1
                part.failures.append(_no_weather(group))

    def add_expired(self, counts: dict[Company, int]) -> None:
        """Note changes that came too late."""
        for company, count in counts.items():
            self.part(company).counts["expired"] += count

    def _fail(self, company: Company, failure: Failure) -> None:
        part = self.part(company)
        part.counts["failed"] += 1
        part.failures.append(failure)


def store_reports(run: NightlyRun, report: NightReport) -> NightReport:
    """Store the run log; counts of things done once add up if a night is run again."""
    observed, fallback = _observed_through(report)
    now = real_time.now()
    for part in report.parts.values():
        part.failures += [
            f for f in report.weather.failures if f["scope"] == "source" or f["id"] in part.cells
        ]
        part.counts["cells"] = len(part.cells)
        counts = {name: part.counts[name] for name in COUNTS}
        row, made = NightlyRunCompany.objects.get_or_create(run=run, company=part.company)
        row.counts = counts if made else _added(row.counts, counts)
        row.failures = part.failures
        row.words = words_of(part, row.counts, on=report.on, observed=observed, fallback=fallback)
        row.save()
    totals = Counter(dict.fromkeys(COUNTS, 0))
    for part in report.parts.values():
        totals.update(part.counts)
    totals["cells"] = report.weather.cells
    report.counts = {name: totals[name] for name in COUNTS}
    report.failures = report.weather.failures + [
        f for part in report.parts.values() for f in part.failures if f["scope"] not in ("cell", "source")
    ]
    run.counts = _added(run.counts, report.counts) if run.counts else report.counts
    run.weather = {"observed_through": observed.isoformat() if observed else None, "fallback_days": fallback}
    run.failures = report.failures
    run.state, run.finished_at = NightlyRun.State.DONE, now
    run.save()
    return report


def words_of(
    part: CompanyPart, counts: dict[str, int], *, on: date, observed: date | None, fallback: int
) -> list[str]:
    """Tell a company's night in plain sentences."""
    words = []
    if observed is None:
        words.append("No measured weather is stored yet.")
    elif fallback:
        through = _long_day(observed, part.company.units)
        words.append(
            f"Weather was {fallback} {_days(fallback)} late: measured up to {through}, "
            "then the last forecast or the usual for the month."
        )
    else:
        words.append(f"Weather is complete up to {_long_day(observed, part.company.units)}.")
    words.append(
        f"{counts['programs']} programs were looked at: {counts['proposed']} changes proposed"
        + (f", {part.skips} of them skips" if part.skips else "")
        + f", {counts['unchanged']} programs left as they are."
    )
    if counts["superseded"]:
        words.append(f"{_some(counts['superseded'], 'earlier proposal')} withdrawn or replaced.")
    if counts["expired"]:
        words.append(f"{_some(counts['expired'], 'change')} too late and closed.")
    if counts["auto_approved"]:
        words.append(f"{_some(counts['auto_approved'], 'change')} approved by policy.")
    if counts["incomplete"]:
        words.append(f"{_some(counts['incomplete'], 'program')} left out: the survey is incomplete.")
    if counts["failed"]:
        words.append(f"{counts['failed']} could not be computed; nothing was changed there.")
    if part.closed:
        words.append(f"{_some(part.closed, 'closed site')} left alone.")
    return words


def _long_day(on: date, units: str) -> str:
    return f"{on:%A}, {on:%B} {on.day}" if units == "us" else f"{on:%A} {on.day} {on:%B}"


def _observed_through(report: NightReport) -> tuple[date | None, int]:
    """Return the last date every cell is measured through, and how many days that is short of yesterday."""
    cells = {cell for part in report.parts.values() for cell in part.cells}
    newest = dict(
        ObservedDay.objects.filter(cell__in=cells, date__lt=report.on, reference_et_mm__isnull=False)
        .values_list("cell")
        .annotate(last=Max("date"))
    )
    if not newest:
        return None, 0
    last = min(newest.values())
    return last, (report.on - last).days - 1


def _added(before: dict[str, int], now: dict[str, int]) -> dict[str, int]:
    return {name: (before.get(name, 0) if name in DONE_ONCE else 0) + now[name] for name in COUNTS}


def _failure(scope: str, pk: int, code: str, message: str) -> Failure:
    return {"scope": scope, "id": pk, "code": code, "message": message}


def _incomplete(group: Group) -> Failure:
    lacks = "; ".join(f"{zone}: {', '.join(missing)}" for zone, missing in group.missing)
    where = f"{group.site.name}, {group.controller.name}, {group.lead}"
    return _failure(
        "program", group.lead.pk, "incomplete", f"{where} is left out until its survey has {lacks}."
    )


def _no_weather(group: Group) -> Failure:
    where = f"{group.site.name}, {group.controller.name}, {group.lead}"
    return _failure(
        "program",
        group.lead.pk,
        "weather_missing",
        f"{where}: no measured weather for more than three days, so no "
        "change is proposed. Look at the controller yourself until it is back.",
    )


def _some(count: int, thing: str) -> str:
    """Say how many, with the verb: ``1 closed site was``, ``3 closed sites were``."""
    return f"{count} {thing} was" if count == 1 else f"{count} {thing}s were"


def _days(count: int) -> str:
    return "day" if count == 1 else "days"
