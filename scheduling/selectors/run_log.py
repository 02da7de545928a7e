"""What the nights did for one company: only its own counts, words and failures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from fleet.models import Controller, Site, Zone
from scheduling.models import NightlyRunCompany, Program

COUNTS = (
    ("proposed", "proposed"),
    ("unchanged", "left as they are"),
    ("superseded", "replaced by a newer one"),
    ("auto_approved", "approved by policy"),
    ("expired", "too late"),
    ("incomplete", "left out, survey incomplete"),
    ("failed", "failed"),
)


@dataclass(frozen=True)
class Failure:
    """One thing that went wrong, with the site to look at where there is one."""

    scope: str
    code: str
    message: str
    site: Site | None
    name: str


def nights_of(user: Any, company_id: int) -> QuerySet[NightlyRunCompany]:
    """Return a company's part of every night, latest first."""
    return (
        NightlyRunCompany.objects.visible_to(user)
        .of_company(company_id)
        .select_related("run")
        .order_by("-run__date", "run__timezone")
    )


def failures_of(nights: Iterable[NightlyRunCompany], *, company_id: int) -> list[Failure]:
    """Return what went wrong in some nights, named, in four queries at most."""
    stored = [failure for night in nights for failure in night.failures if isinstance(failure, dict)]
    wanted: dict[str, set[int]] = defaultdict(set)
    for failure in stored:
        if isinstance(failure.get("id"), int):
            wanted[str(failure.get("scope", ""))].add(failure["id"])
    found = _places(wanted, company_id=company_id)
    return [_failure(failure, found) for failure in stored]


def _failure(stored: dict[str, Any], found: dict[tuple[str, int], tuple[Site, str]]) -> Failure:
    scope = str(stored.get("scope", ""))
    site, name = found.get((scope, stored.get("id", 0)), (None, ""))
    return Failure(
        scope=scope,
        code=str(stored.get("code", "")),
        message=str(stored.get("message", "")),
        site=site,
        name=name,
    )


def _places(wanted: dict[str, set[int]], *, company_id: int) -> dict[tuple[str, int], tuple[Site, str]]:
    """Return site and name of every row a failure speaks of."""
    place: dict[tuple[str, int], tuple[Site, str]] = {}
    if wanted["site"]:
        for site in Site.objects.of_company(company_id).filter(pk__in=wanted["site"]):
            place["site", site.pk] = (site, "")
    if wanted["controller"]:
        rows = Controller.objects.of_company(company_id).filter(pk__in=wanted["controller"])
        for controller in rows.select_related("site"):
            place["controller", controller.pk] = (controller.site, str(controller))
    if wanted["program"]:
        programs = Program.objects.of_company(company_id).filter(pk__in=wanted["program"])
        for program in programs.select_related("controller__site"):
            place["program", program.pk] = (program.controller.site, str(program))
    if wanted["zone"]:
        zones = Zone.objects.of_company(company_id).filter(pk__in=wanted["zone"])
        for zone in zones.select_related("controller__site"):
            place["zone", zone.pk] = (zone.controller.site, f"zone {zone}")
    return place
