"""A real browser on the live server: nothing may be asked of any other host, nothing may go wrong unseen."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core.management import call_command
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect, sync_playwright

from desk.set_up.steps import STEPS
from fleet.models import Client, Invitation, Meter, SetUpDraft, Site, Tariff, Town, User, Visit, WateringRule
from fleet.services.drafts import start_draft
from fleet.services.people import invite, token_of
from fleet.services.photos import add_photo
from reports.services.recompute import recompute
from reports.services.summaries import make
from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.cast import PASSWORD, a_skip
from tests.conftest import chromium
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather
from tests.pictures import encoded, four_corners

PATIENCE_MS = 15_000  # a busy machine is slow, not wrong
OPTIONS = ("--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium(), args=OPTIONS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def charts_script() -> None:
    call_command("build_charts")


@dataclass
class Watched:
    """A page, what its console complained of, and the hosts it asked."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    hosts: set[str] = field(default_factory=set)

    def heard(self, said: ConsoleMessage) -> None:
        if said.type in ("error", "warning"):
            self.complaints.append(said.text)


def watched(context: BrowserContext) -> Watched:
    seen = Watched(context.new_page())
    seen.page.set_default_timeout(PATIENCE_MS)
    seen.page.on("console", seen.heard)
    seen.page.on("pageerror", lambda error: seen.complaints.append(str(error)))
    seen.page.on("request", lambda asked: seen.hosts.add(urlsplit(asked.url).netloc))
    return seen


@pytest.fixture
def heron(transactional_db: None, settings: Any) -> Garden:
    """A garden with two zones in one program, a second program, a skip, and the night already run."""
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    made = garden(minutes=40.0, zones=2, percent=170, units="us")
    second = made.controller.programs.create(
        letter="B", name="Beds", days="daily", starts=["22:00"], effective=ON - timedelta(days=60)
    )
    second.runs.create(zone=made.zones[1], minutes=4)
    weather(made.cell)
    run_night(on=ON, timezone=TIMEZONE)
    recompute(on=ON)
    third = made.controller.programs.create(
        letter="C", name="Strip", days="daily", starts=["21:00"], effective=ON - timedelta(days=60)
    )
    third.runs.create(zone=made.zones[1], minutes=4)
    a_skip(third, effective_from=ON, effective_to=ON, reason="9 mm of rain counts.")
    Visit.objects.create(site=made.site, date=ON)
    WateringRule.objects.create(
        company=made.company, name="Water district", weekdays="mon wed fri", source="Notice 12"
    )
    Client.objects.create(company=made.company, name="Quiet Court")
    invite(by=made.owner, company_id=made.company.pk, email="newcomer@heron.test", role="technician")
    return made


@pytest.fixture
def server(live_server: Any, charts_script: None) -> str:
    return str(live_server.url)


def sign_in(page: Page, server: str, email: str) -> None:
    page.goto(f"{server}/sign-in/")
    page.fill("#email", email)
    page.fill("#password", PASSWORD)
    page.click("button.main")
    page.wait_for_url(lambda url: "/sign-in/" not in url)


@pytest.fixture
def desk(browser: Browser, server: str, heron: Garden) -> Iterator[Watched]:
    """The owner's browser, signed in."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, color_scheme="light")
    seen = watched(context)
    sign_in(seen.page, server, heron.owner.email)
    yield seen
    context.close()


def set_up_pages(heron: Garden) -> dict[str, str]:
    """Return every page of setting a site up, with a draft that has two zones."""
    draft = SetUpDraft.objects.filter(company=heron.company).first()
    if draft is None:
        draft = start_draft(company=heron.company, by=heron.owner)
        kind = str(heron.company.zone_presets.earliest("pk").pk)
        rows = [{"k": str(n), "number": str(n), "kind": kind, "area": "800"} for n in (1, 2)]
        table = {
            "table": [["No.", "Name", "Area"], ["1", "Bed", "much"]],
            "columns": ["number", "name", "area:us"],
        }
        draft.data = {
            "zones-1": {"texts": {"rows": rows}, "version": 1},
            "table-1": {"texts": table | {"head": True}, "version": 1},
        }
        draft.save()
    base = f"/set-up/{draft.pk}"
    steps = {f"set up, {step.label}": f"{base}/{step.key}/" for step in STEPS}
    return steps | {
        "drafts": "/set-up/",
        "kinds of zones": "/settings/kinds/",
        "kind of zone": f"/settings/kinds/{heron.company.zone_presets.earliest('pk').pk}/",
        "discard a draft": f"{base}/discard/",
        "a table of zones": f"{base}/table/?box=1",
        "a zone of a draft": f"{base}/zone/?box=1&row=1",
    }


def round_pages(heron: Garden) -> dict[str, str]:
    """Return the pages of rounds, catch cans and nights not watered by need, each with something on it."""
    zone, other = heron.zones
    audit = {"minutes": 10, "throat_cm2": 106.5, "wind_m_s": 4.0, "note": "South half."}
    zone.can_audits.get_or_create(date=ON, defaults=audit | {"volumes_ml": [20, 31, 24, 18, 26, 22]})
    row, _ = heron.site.rounds.get_or_create(began_on=ON)
    seen = {"flow_l_min": 60, "expected_l_min": 40, "expected_from": "test", "seen": ["leak", "tilted"]}
    test, _ = row.tests.get_or_create(zone=zone, date=ON, defaults=seen)
    by = User.objects.get(pk=heron.owner.pk)
    finding, _ = zone.findings.get_or_create(found_on=ON, part="pipe", defaults={"note": "Wet by the gate."})
    photo = add_photo(by=by, test=test, image=encoded(four_corners(1200, 900)))
    add_photo(by=by, finding=finding, image=encoded(four_corners(600, 900)))
    away: dict[str, Any] = {"kind": "grow-in", "effective_from": ON - timedelta(days=3), "permit": "W-118"}
    short_runs = {"effective_to": ON + timedelta(days=9), "runs_a_day": 4, "run_minutes": 6}
    episode, _ = other.episodes.get_or_create(**away, defaults=short_runs)
    return {
        "catch cans": f"/zones/{zone.pk}/cans/",
        "catch cans, none yet": f"/zones/{other.pk}/cans/",
        "round": f"/rounds/{row.pk}/",
        "zone of a round": f"/rounds/{row.pk}/zones/{zone.pk}/",
        "zone of a round, left": f"/rounds/{row.pk}/zones/{other.pk}/",
        "finding": f"/findings/{finding.pk}/",
        "photo": f"/photos/{photo.pk}/",
        "photo, to remove": f"/photos/{photo.pk}/remove/",
        "not watered by need": f"/zones/{other.pk}/episodes/",
        "not watered by need, set right": f"/episodes/{episode.pk}/",
    }


def town_pages(heron: Garden) -> dict[str, str]:
    """Return the pages of a town whose stage a site's program breaks, and that site's own rule."""
    town, _ = Town.objects.get_or_create(
        company=heron.company, name="Upper Vale", defaults={"stage": 1, "stage_from": ON}
    )
    rule = {"weekdays": "mon thu", "less_percent": 20, "source": "Notice 3"}
    town.rules.get_or_create(company=heron.company, name="Drought, first", stage=1, defaults=rule)
    Site.objects.filter(pk=heron.site.pk).update(town=town)
    held = {"factor": 0.7, "reason": "Upper Vale, stage 1: 20 % less water"}
    heron.zones[0].cuts.get_or_create(town=town, effective_from=ON, defaults=held)
    return {
        "towns": "/settings/towns/",
        "town": f"/settings/towns/{town.pk}/",
        "town, new plans": f"/settings/towns/{town.pk}/plans/",
        "site's rule": f"/sites/{heron.site.pk}/rule/",
    }


def reader_pages(heron: Garden) -> dict[str, str]:
    """Return the pages about a client's reader and the letter that went out."""
    email = "reader@heron.test"
    person = User.objects.filter(email=email).first() or User.objects.create_user(email, PASSWORD)
    access, _ = heron.client.accesses.get_or_create(user=person)
    said = {"subject": "Your watering", "text": "Good day,\n\nfrom today you can read along.\n", "to": email}
    letter, _ = heron.company.letters.get_or_create(key="opening", kind="opening", defaults=said)
    return {
        "letter": f"/letters/{letter.pk}/",
        "client's reader, to remove": f"/clients/{heron.client.pk}/people/{access.pk}/",
        "client's access, to open": f"/clients/{heron.client.pk}/access/open/",
        "client's access, to close": f"/clients/{heron.client.pk}/access/close/",
    }


def summary_pages(heron: Garden) -> dict[str, str]:
    """Return the pages of summaries: a month's, one with figures, one with nothing to tell."""
    made = make(
        list(Client.objects.filter(company=heron.company).select_related("company")), ON.replace(day=1)
    )
    full, bare = sorted(made, key=lambda row: bool(row.figures["empty"]))
    return {
        "summaries": f"/summaries/{ON:%Y-%m}/",
        "summaries, none such": f"/summaries/{ON:%Y-%m}/?view=sent",
        "summary": f"/summaries/{full.pk}/",
        "summary with nothing to tell": f"/summaries/{bare.pk}/",
    }


def note_pages(heron: Garden) -> dict[str, str]:
    """Return the pages of a client's note that asks for a dry day, and of one that was answered."""
    asked, _ = heron.site.client_notes.get_or_create(
        words="Please keep the lawn dry on Saturday, the choir sings there.", dry_from=ON + timedelta(days=4),
        dry_to=ON + timedelta(days=4),
    )  # fmt: skip
    answered, _ = heron.site.client_notes.get_or_create(
        words="Is the gate valve loud?", status="answered",
        defaults={"answer": "We look on Monday.", "answered_at": datetime(2026, 7, 13, 17, tzinfo=UTC)},
    )  # fmt: skip
    return {
        "notes": "/notes/",
        "notes, all": "/notes/?view=all",
        "note": f"/notes/{asked.pk}/",
        "note, answered": f"/notes/{answered.pk}/",
        "site's notes": f"/sites/{heron.site.pk}/notes/",
    }


def meter_pages(heron: Garden) -> dict[str, str]:
    """Return the pages of a meter with readings, a bill, a doubt, and a file somebody brought."""
    meter, new = heron.site.meters.get_or_create(name="Pit at the gate", defaults={"unit": "kgal"})
    if new:
        for ago, value in ((40, 100), (20, 140), (10, 3)):
            meter.readings.create(
                read_at=f"{ON - timedelta(days=ago)}T08:00:00Z", value=value, by=heron.owner
            )
        meter.bills.create(first=ON - timedelta(days=90), last=ON - timedelta(days=60), used=31, charged="90")
    content = b"When,Reading,Remark\n2026-05-01,90,lid\n2026-05-02,much,\n"
    said = {"kind": "readings", "unit": "kgal", "columns": ["day", "value", "note"]}
    meter.files.get_or_create(by=heron.owner, defaults={"name": "may.csv", "content": content, "said": said})
    return {
        "water meters": f"/sites/{heron.site.pk}/meters/",
        "water meter": f"/meters/{meter.pk}/",
        "water meter, to edit": f"/meters/{meter.pk}/edit/",
        "water meter, a file": f"/meters/{meter.pk}/table/",
        "water meter, bills": f"/meters/{meter.pk}/bills/",
        "bill, set right": f"/meter-bills/{meter.bills.get().pk}/",
        "reading, set right": f"/meter-readings/{meter.readings.latest('read_at').pk}/",
    }


def measured_meter(heron: Garden) -> Meter:
    """Return a meter with a baseline of two bills, a bill that counts, and a leak."""
    meter, new = Meter.objects.get_or_create(site=heron.site, name="Street", defaults={"unit": "m3"})
    if new:
        june, july = (
            {"first": "2025-06-01", "last": "2025-06-30"},
            {"first": "2025-07-01", "last": "2025-07-31"},
        )
        amounts = {"used_l": 90_000.0, "apart_l": 0.0, "need_l": 70_000.0}
        meter.baselines.create(
            first=date(2025, 6, 1),
            last=date(2025, 7, 31),
            terms=["net need"],
            coefficients=[1.3],
            points=[june | amounts, july | amounts | {"used_l": 92_000.0}],
            figures={"cv_rmse": 0.08, "r2": 0.91, "nmbe": 0.001, "rho": 0.1, "effective": 2.0},
            fitted_at=datetime(2026, 7, 1, tzinfo=UTC),
        )
        day = {"day": "2026-07-12", "used_l": 2_000.0, "due_l": 0.0, "idle_l": 2_000.0}
        said = {"kind": "idle", "litres": 2_000.0, "evidence": {"days": [day]}, "found_on": ON}
        meter.use_alerts.create(first=date(2026, 7, 12), last=date(2026, 7, 12), **said)
        meter.non_routine_changes.create(kind="leak", first=ON, litres_day=300, reason="By the gate.")
    return meter


def addresses(heron: Garden) -> dict[str, str]:
    """Return every page there is, by name."""
    percent = Change.objects.filter(kind="percent").first()
    skip = Change.objects.exclude(kind="percent").first()
    assert percent is not None
    assert skip is not None
    quiet = Client.objects.get(name="Quiet Court")
    correction, _ = heron.site.corrections.get_or_create(
        effective_from=ON, defaults={"factor": 0.9, "reason": "A wall keeps the wind off."}
    )
    meter = measured_meter(heron)
    return {
        "morning": "/",
        "week": "/week/",
        "week, to enter": "/week/?view=enter",
        "week, decided": "/week/?view=decided",
        "why": f"/changes/{percent.pk}/",
        "clients, narrowed": "/clients/?open=decide&sort=saved",
        "client's month": f"/clients/{heron.client.pk}/savings/{ON:%Y-%m}/",
        "client's days": f"/clients/{heron.client.pk}/savings/?from={ON:%Y-%m}-02",
        "client's changes": f"/clients/{heron.client.pk}/changes/",
        "client's access": f"/clients/{heron.client.pk}/access/later/",
        "client's policy": f"/clients/{heron.client.pk}/policy/",
        "why of a skip": f"/changes/{skip.pk}/",
        "field": "/field/",
        "clients": "/clients/",
        "water by client": "/clients/water/?from=2026-01",
        **set_up_pages(heron),
        "client": f"/clients/{heron.client.pk}/",
        "search": "/search/?words=heron",
        "search, nothing found": "/search/?words=nowhere",
        "sites": "/sites/",
        "site": f"/sites/{heron.site.pk}/",
        "use": f"/sites/{heron.site.pk}/use/",
        "measured": f"/sites/{heron.site.pk}/measured/",
        "meter, measured": f"/meters/{meter.pk}/measured/",
        "meter, not routine": f"/meters/{meter.pk}/not-routine/",
        "not routine, set right": f"/not-routine/{meter.non_routine_changes.get().pk}/",
        "corrections": f"/sites/{heron.site.pk}/corrections/",
        "correction": f"/corrections/{correction.pk}/",
        "season again": f"/sites/{heron.site.pk}/season/",
        "plan": f"/controllers/{heron.controller.pk}/plan/",
        "plan, typed over": f"/controllers/{heron.controller.pk}/plan/?zone-{heron.zones[0].pk}-minutes=20",
        "plan, to adopt": f"/controllers/{heron.controller.pk}/plan/adopt/",
        "card": f"/controllers/{heron.zones[0].controller_id}/card/",
        "advice": "/advice/",
        "accuracy": "/accuracy/",
        "letters": "/letters/",
        **summary_pages(heron),
        **note_pages(heron),
        "how we work": "/settings/",
        "decisions": "/settings/decisions/",
        "company": "/settings/company/",
        "people": "/settings/people/",
        "prices": "/settings/prices/",
        "price": f"/settings/prices/{Tariff.objects.get().pk}/",
        "rules": "/settings/rules/",
        "history": f"/sites/{heron.site.pk}/history/",
        "rule": f"/settings/rules/{WateringRule.objects.get(town=None).pk}/",
        "welcome": f"/welcome/{token_of(Invitation.objects.get())}/",
        "client without a site": f"/clients/{quiet.pk}/",
        "client without a site, changes": f"/clients/{quiet.pk}/changes/",
        "clients, none such": "/clients/?words=nobody-of-that-name",
        "sites, none such": "/sites/?words=nothing-of-that-name",
        "nights": "/nights/",
        "night": f"/nights/{percent.run_id}/",
        "not there": "/not-there/",
        **round_pages(heron),
        **meter_pages(heron),
        **town_pages(heron),
        **reader_pages(heron),
    }
