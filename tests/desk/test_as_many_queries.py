"""Every page and list costs as many queries for a large company as for a small one, counted side by side."""

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.conf import settings as in_force
from django.core.cache import cache
from django.db import connection, transaction
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from config.api import router
from desk.set_up.steps import STEPS
from fleet.models import (
    ClientAccess,
    ClientNote,
    Meter,
    MeterBill,
    MeterReading,
    Photo,
    SettingEdit,
    SoilObservation,
    Tariff,
    User,
    WateringRule,
    WaterSource,
    Zone,
    ZoneTrim,
)
from fleet.services.drafts import start_draft
from reports.models import MeterBaseline, MeterMonth, SiteMonth, Summary
from scheduling.models import Change, NightlyRun, NightlyRunCompany, Program, Skip, ZoneRun
from scheduling.models.detail import Altered, Detail
from scheduling.selectors.altered import holds_of
from tests.cast import MORNING, TIMEZONE, TODAY
from tests.large import Large, large_company
from tests.summaries import summary_figures

pytestmark = pytest.mark.django_db
SMALL, MOST = 24, 60
FILES = {
    "clients/list.csv",
    "clients/list.xlsx",
    "clients/water/list.csv",
    "clients/water/list.xlsx",
    "advice/list.csv",
}  # sent some hundreds of lines at a time: tests/desk/test_clients_file.py


@dataclass(frozen=True)
class Pair:
    """A small and a large company, and what each page of theirs is called."""

    companies: tuple[Large, Large]
    readers: tuple[User, User]


@pytest.fixture(scope="module", params=[240, pytest.param(2_000, marks=pytest.mark.prove)])
def pair(request: Any, django_db_setup: None, django_db_blocker: Any) -> Iterator[Pair]:
    """Build both companies once; they are gone when the module is done."""
    with django_db_blocker.unblock():
        before, in_force.AS_OF = in_force.AS_OF, TODAY
        with transaction.atomic():
            companies = [
                large_company(count, on=TODAY, months=3, name=f"Company of {count}")
                for count in (SMALL, request.param)
            ]
            readers = [filled(company) for company in companies]
            yield Pair((companies[0], companies[1]), (readers[0], readers[1]))
            transaction.set_rollback(True)
        in_force.AS_OF = before


def filled(large: Large) -> User:
    """Store what a large company lacks, so that every list has rows; return who reads a third of it."""
    company, owner = large.company, large.owner
    Tariff.objects.create(company=company, name="Town", price_per_m3="1.2")
    rule = WateringRule.objects.create(company=company, name="Odd dates", parity="odd")
    type(large.sites[0]).objects.filter(pk__in=[s.pk for s in large.sites[::3]]).update(watering_rule=rule)
    start_draft(company=company, by=owner)
    SettingEdit.objects.create(company=company, topic="rule", row=rule.pk, about="Odd dates", by=owner)
    run, _ = NightlyRun.objects.get_or_create(
        date=TODAY, timezone=TIMEZONE, defaults={"started_at": MORNING, "state": "done"}
    )
    NightlyRunCompany.objects.create(run=run, company=company, counts={"proposed": 1})
    week = TODAY - timedelta(days=5)
    zones = large.zones[::5]
    SoilObservation.objects.bulk_create(
        SoilObservation(zone=z, date=week, depletion_share=0.3, by=owner) for z in zones
    )
    ZoneTrim.objects.bulk_create(
        ZoneTrim(zone=z, factor=1.1, reason="Wind", effective_from=week, by=owner) for z in zones
    )
    WaterSource.objects.bulk_create(WaterSource(site=site, name="Tap") for site in large.sites)
    _metered(large)
    ClientNote.objects.bulk_create(
        ClientNote(site=site, words="Guests.", dry_from=TODAY, dry_to=TODAY, by=owner) for site in large.sites
    )
    Skip.objects.bulk_create(
        Skip(program=p, effective_from=TODAY, effective_to=TODAY, reason="Rain") for p in large.programs[::7]
    )
    Change.objects.bulk_create(
        Change(program=p, kind="rain_skip", effective_from=TODAY, effective_to=TODAY, reason="Rain", run=run)
        for p in large.programs[::9]
    )
    Summary.objects.bulk_create(
        Summary(client=one, month="2026-06-01", figures=summary_figures(one.name), made_at=MORNING)
        for one in large.clients
    )
    _altered(large)
    reader = User.objects.create_user(f"reader@{company.pk}.large.test", "three herons at dawn")
    ClientAccess.objects.bulk_create(
        ClientAccess(user=reader, client=client) for client in large.clients[: len(large.clients) // 3]
    )
    return reader


def _metered(large: Large) -> None:
    """Store a meter for every site, each with a reading and a bill."""
    meters = Meter.objects.bulk_create(Meter(site=site, name="Main", unit="kgal") for site in large.sites)
    MeterReading.objects.bulk_create(MeterReading(meter=m, read_at=MORNING, value=90) for m in meters)
    MeterBill.objects.bulk_create(
        MeterBill(meter=m, first=TODAY - timedelta(days=40), last=TODAY - timedelta(days=9), used=50)
        for m in meters
    )
    _measured(large, meters[::9])


def _measured(large: Large, meters: list[Meter]) -> None:
    """Store months of sites and meters with a baseline, some of whose bills are counted."""
    june = TODAY.replace(month=6, day=1)
    SiteMonth.objects.bulk_create(
        SiteMonth(
            site=site, month=june, through=TODAY, days=30, budget_l=9000, metered_l=8000, metered_days=30
        )
        for site in large.sites
    )
    points = [
        {"first": f"2025-{n:02}-01", "last": f"2025-{n:02}-28", "used_l": 90.0 * n + n % 3, "apart_l": 0.0}
        | {"need_l": 80.0 * n}
        for n in range(1, 13)
    ]
    fits = MeterBaseline.objects.bulk_create(
        MeterBaseline(
            meter=meter, first=date(2025, 1, 1), last=date(2025, 12, 28), terms=["net need"],
            coefficients=[1.1], points=points, fitted_at=MORNING,
            figures={"cv_rmse": 0.1, "r2": 0.9, "nmbe": 0.0, "rho": 0.1, "effective": 10.0},
        )
        for meter in meters
    )  # fmt: skip
    MeterMonth.objects.bulk_create(
        MeterMonth(meter=fit.meter, baseline=fit, month=june, points=points[5:6], baseline_l=600, used_l=500)
        for fit in fits
    )


def _altered(large: Large) -> None:
    """Store alterations that wait and that are to be entered, and the advice they came from."""
    for n, program in enumerate(large.programs[::11]):
        entered = {"status": "approved", "decided_at": MORNING} if n % 2 else {}
        zone = large.zones[large.programs.index(program) // 2]
        change = Change.objects.create(
            program=program, kind="minutes", current=100, proposed=100, effective_from=TODAY, reason="Soil.",
            detail=longer_runs(program, zone), **entered,
        )  # fmt: skip
        said = {"words": "Runs off.", "found_on": TODAY, "looked_on": TODAY, "becomes": "minutes"}
        program.controller.advice.create(kind="runoff", key=f"{n}", program=program, change=change, **said)


def longer_runs(program: Program, zone: Zone) -> dict[str, Any]:
    """Return what a change of one run's minutes keeps."""
    held = holds_of(program, [ZoneRun(program=program, zone=zone, minutes=20)], percent=100)
    after = replace(held, runs=(replace(held.runs[0], minutes=25.0),))
    return Detail((Altered(program.letter, program.name, program.pk, held, after),)).as_json()


def pages(large: Large) -> dict[str, str]:
    """Return the address of every page an owner can open, by its pattern."""
    site, client = large.sites[2], large.clients[1]
    change = Change.objects.filter(program__in=large.programs, kind="percent").order_by("pk")[0]
    skip = Change.objects.filter(program__in=large.programs, kind="rain_skip").order_by("pk")[0]
    longer = Change.objects.filter(program__in=large.programs, kind="minutes").order_by("pk")[0]
    draft = large.company.set_up_drafts.get()
    photo = Photo.objects.of_company(large.company.pk)[0]
    rule, price = large.company.watering_rules.get(), large.company.tariffs.get()
    own = {
        "": "/",
        "week/": "/week/",
        "week/ by water": "/week/?sort=water",
        "week/ at risk": "/week/?view=risk&sort=risk",
        "week/ skips": "/week/?view=skips",
        "week/ programs": "/week/?view=programs",
        "week/ to enter": "/week/?view=enter",
        "week/ decided": "/week/?view=decided&words=lot",
        "changes/<int:pk>/": f"/changes/{change.pk}/",
        "changes/<int:pk>/ of a skip": f"/changes/{skip.pk}/",
        "changes/<int:pk>/ of minutes": f"/changes/{longer.pk}/",
        "clients/": "/clients/",
        "clients/ by need": "/clients/?sort=need&way=down",
        "clients/ narrowed": "/clients/?open=decide&season=open&words=lot",
        "clients/water/": "/clients/water/",
        "clients/water/ narrowed": "/clients/water/?from=2026-05&to=2026-07&only=dry&words=lot&sort=budget",
        "clients/<int:pk>/": f"/clients/{client.pk}/",
        "clients/<int:pk>/savings/": f"/clients/{client.pk}/savings/?from={TODAY:%Y-%m}-02",
        "clients/<int:pk>/savings/<month:month>/": f"/clients/{client.pk}/savings/{TODAY:%Y-%m}/",
        "clients/<int:pk>/changes/": f"/clients/{client.pk}/changes/",
        "clients/<int:pk>/policy/": f"/clients/{client.pk}/policy/",
        "clients/<int:pk>/access/later/": f"/clients/{client.pk}/access/later/",
        "field/": "/field/",
        "findings/<int:pk>/": f"/findings/{photo.finding_id}/",
        "photos/<int:pk>/": f"/photos/{photo.pk}/",
        "search/": "/search/?words=lot",
        "search/ of a client": "/search/?words=client",
        "sites/": "/sites/",
        "sites/ narrowed": "/sites/?words=lot",
        "sites/<int:pk>/": f"/sites/{site.pk}/",
        "sites/<int:pk>/use/": f"/sites/{site.pk}/use/",
        "sites/<int:pk>/measured/": f"/sites/{site.pk}/measured/",
        "sites/<int:pk>/history/": f"/sites/{site.pk}/history/",
        "sites/<int:pk>/notes/": f"/sites/{site.pk}/notes/",
        "notes/": "/notes/",
        "sites/<int:pk>/meters/": f"/sites/{site.pk}/meters/",
        "meters/<int:pk>/": f"/meters/{site.meters.get().pk}/",
        "meters/<int:pk>/bills/": f"/meters/{site.meters.get().pk}/bills/",
        "meters/<int:pk>/table/": f"/meters/{site.meters.get().pk}/table/",
        "settings/": "/settings/",
        "settings/decisions/": "/settings/decisions/",
        "settings/company/": "/settings/company/",
        "settings/people/": "/settings/people/",
        "settings/prices/": "/settings/prices/",
        "settings/prices/<int:pk>/": f"/settings/prices/{price.pk}/",
        "settings/rules/": "/settings/rules/",
        "settings/rules/<int:pk>/": f"/settings/rules/{rule.pk}/",
        "settings/kinds/": "/settings/kinds/",
        "settings/towns/": "/settings/towns/",
        "accuracy/": "/accuracy/",
        "letters/": "/letters/",
        "summaries/<month:month>/": "/summaries/2026-06/",
        "summaries/<month:month>/ found": "/summaries/2026-06/?view=care&words=client",
        "summaries/<int:pk>/": f"/summaries/{client.summaries.get().pk}/",
        "advice/": "/advice/",
        "controllers/<int:pk>/plan/": f"/controllers/{large.controllers[2].pk}/plan/",
        "set-up/": "/set-up/",
        **{f"set-up/<int:pk>/{step.key}/": f"/set-up/{draft.pk}/{step.key}/" for step in STEPS},
        "controllers/<int:pk>/card/": f"/controllers/{large.controllers[2].pk}/card/",
        "nights/": "/nights/",
        "nights/<int:pk>/": f"/nights/{skip.run_id}/",
    }
    box = large.controllers[2].pk
    rest = {f"api {prefix}": f"/api/v1/{prefix}/" for prefix, _, _ in router.registry}
    rest["api timeline"] = f"/api/v1/controllers/{box}/timeline/"
    rest["api weather"] = f"/api/v1/sites/{site.pk}/weather/"
    rest["api savings"] = f"/api/v1/clients/{client.pk}/savings/"
    rest["api water by client"] = "/api/v1/water-by-client/"
    rest["api water by client, totals"] = "/api/v1/water-by-client/totals/?from=2026-05&to=2026-07"
    return own | rest


def read_by_client(large: Large) -> dict[str, str]:
    """Return what somebody opens who only reads some clients' sites."""
    return {
        "client's own first page": "/",
        "client's site": f"/sites/{large.sites[2].pk}/",
        "client's notes": f"/sites/{large.sites[2].pk}/notes/",
        "client's search": "/search/?words=lot",
        "client's zones over REST": "/api/v1/zones/",
    }


def counted(browser: Browser, address: str) -> list[str]:
    """Return the questions one opening of a page asks the database, nothing remembered from before."""
    cache.clear()
    with CaptureQueriesContext(connection) as seen:
        answer = browser.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    return [query["sql"] for query in seen.captured_queries]


def test_every_page_and_list_costs_the_same(pair: Pair, capsys: Any) -> None:
    table: dict[str, list[int]] = {}
    for large, reader in zip(pair.companies, pair.readers, strict=True):
        for user, addresses in ((large.owner, pages(large)), (reader, read_by_client(large))):
            browser = Browser()
            browser.force_login(user)
            for name, address in addresses.items():
                table.setdefault(name, []).append(len(counted(browser, address)))
    sizes = [len(large.clients) for large in pair.companies]
    with capsys.disabled():
        sys.stdout.write(f"\nqueries with {sizes[0]} and {sizes[1]:,} clients\n")
        for name, (few, many) in table.items():
            sys.stdout.write(f"  {name or 'morning':<42} {few:>3} {many:>3}\n")
    assert {name: counts for name, counts in table.items() if len(set(counts)) > 1} == {}
    assert max(counts[0] for counts in table.values()) <= MOST


def test_no_page_is_missing_here(pair: Pair) -> None:
    """A page that an address alone opens belongs into the list above."""
    listed = {name.split(" ")[0] for name in pages(pair.companies[0])}
    browser = Browser()
    browser.force_login(pair.companies[0].owner)
    patterns = {str(one.pattern) for one in get_resolver("desk.urls").url_patterns}
    plain = sorted(one for one in patterns - listed - FILES if "<" not in one)
    assert [one for one in plain if browser.get(f"/{one}").status_code == 200] == []
