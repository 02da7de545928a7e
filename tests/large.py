"""A large invented company: many clients with sites, programs, months, changes, visits and findings.

Rows are stored in bulk and follow from their number alone, so that two companies of a size are alike.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import cycle
from typing import Any

from fleet.models import Client, Company, Controller, Finding, Membership, Photo, Site, User, Visit, Zone
from reports.models import ProgramMonth
from scheduling.models import Change, Program, Setting, ZoneRun
from tests.cast import MORNING, TIMEZONE

SINCE = date(2025, 12, 1)
LETTERS = "AB"
SEASONS = ("open", "open", "open", "closed", "opening", "closing")


@dataclass
class Large:
    """A company, its owner and its rows."""

    company: Company
    owner: User
    clients: list[Client]
    sites: list[Site]
    controllers: list[Controller]
    zones: list[Zone]
    programs: list[Program]


def large_company(clients: int, *, on: date, months: int = 8, name: str = "Wide Valley Irrigation") -> Large:
    """Store a company of so many clients with 1.5 sites each, two programs a site."""
    company = Company.objects.create(name=name)
    owner = User.objects.create_user(f"owner@{company.pk}.large.test", "three herons at dawn")
    Membership.objects.create(user=owner, company=company, role="owner")
    stored = _stored(Client, [_client(company, n, on=on) for n in range(clients)])
    sites = _stored(Site, [_site(stored[n * 2 // 3], n) for n in range(clients * 3 // 2)])
    boxes = _stored(Controller, [Controller(site=site, name="Wall") for site in sites])
    zones = _stored(Zone, [_zone(box) for box in boxes])
    programs = _stored(Program, [_program(box, letter) for box in boxes for letter in LETTERS])
    _stored(Setting, [Setting(program=p, percent=100, effective_from=SINCE) for p in programs])
    _stored(ZoneRun, [_run(program, zones[n // 2]) for n, program in enumerate(programs)])
    _store_months(boxes, on=on, months=months)
    _store_work(sites, zones, programs, on=on)
    return Large(company, owner, stored, sites, boxes, zones, programs)


def _stored(model: Any, rows: list[Any]) -> list[Any]:
    return list(model.objects.bulk_create(rows, batch_size=500))


def _client(company: Company, n: int, *, on: date) -> Client:
    opened = (None, on - timedelta(days=60), on + timedelta(days=10))[n % 3]
    return Client(company=company, name=f"Client {n:04d}", access_from=opened)


def _site(client: Client, n: int) -> Site:
    place = {"latitude": 39.2, "longitude": -121.1, "elevation_m": 310.0, "timezone": TIMEZONE}
    return Site(client=client, name=f"Lot {n}", season=SEASONS[n % len(SEASONS)], **place)


def _zone(controller: Controller) -> Zone:
    return Zone(controller=controller, number=1, name="Lawn", plant="cool_turf", head="rotor", area_m2=200.0)


def _program(controller: Controller, letter: str) -> Program:
    return Program(
        controller=controller, letter=letter, days="mon wed fri", starts=["03:00"], effective=SINCE
    )


def _run(program: Program, zone: Zone) -> ZoneRun:
    return ZoneRun(program=program, zone=zone, minutes=20, order=1)


def _store_months(controllers: list[Controller], *, on: date, months: int) -> None:
    """Store the months up to the running one; three controllers in fifteen have none."""
    firsts = [_months_before(on, n) for n in range(months)]
    rows = [
        _month(controller, letter, first, n)
        for n, controller in enumerate(controllers)
        if n % 15 not in (0, 1, 2)
        for letter in LETTERS
        for first in firsts
    ]
    _stored(ProgramMonth, rows)


def _months_before(on: date, count: int) -> date:
    number = on.year * 12 + on.month - 1 - count
    return date(number // 12, number % 12 + 1, 1)


def _month(controller: Controller, letter: str, first: date, n: int) -> ProgramMonth:
    found = 20_000.0 + 7 * (n % 97) * first.month
    applied = found * (0.7 + 0.005 * (n % 71))
    return ProgramMonth(
        controller=controller,
        letter=letter,
        month=first,
        through=first + timedelta(days=27),
        days=28,
        applied_l=applied,
        found_l=found,
        found_withheld_l=0.0,
        monthly_l=found * 0.9,
        monthly_withheld_l=0.0,
        need_l=found * 0.8,
        short_l=float(n % 13) * 100,
    )


def _store_work(sites: list[Site], zones: list[Zone], programs: list[Program], *, on: date) -> None:
    _stored(Change, [_change(p, n, on=on) for n, p in enumerate(programs) if n % 5 < 2])
    found = _stored(Finding, [Finding(zone=z, found_on=on, part="Riser") for z in zones[::9]])
    _stored(Photo, [_photo(finding) for finding in found])
    done = [
        Visit(site=site, date=on - timedelta(days=n % 50 + 1), done_at=MORNING)
        for n, site in enumerate(sites)
        if n % 4
    ]
    ahead = cycle(range(20))
    planned = [Visit(site=site, date=on + timedelta(days=next(ahead))) for site in sites[::3]]
    _stored(Visit, done + planned)


def _photo(finding: Finding) -> Photo:
    """Return a photo without files: pages that show it name it, and don't read it."""
    key = f"{finding.pk:032x}"
    return Photo(zone=finding.zone, finding=finding, key=key, digest=key * 2, width=800, height=600)


def _change(program: Program, n: int, *, on: date) -> Change:
    """Return a pending change, or an approved one."""
    usual: dict[str, Any] = {
        "program": program,
        "kind": "percent",
        "current": 100,
        "proposed": 85,
        "effective_from": on,
        "reason": "Cooler week ahead.",
        "effect_litres": -8200.0,
    }
    if n % 5:
        return Change(**usual, risk_keep_level=n % 3)
    return Change(**usual, status="approved", decided=85, decided_at=MORNING)
