"""The cast every test knows: a company with an owner, an office and a technician, its client, and a stranger.

All invented. Functions build rows; fixtures give the usual ones. Import the fixtures in a conftest.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.models import Client, ClientAccess, Company, Controller, Membership, Site, User, Zone
from scheduling.models import Change, NightlyRun, NightlyRunCompany, Program, ZoneRun

TODAY = date(2026, 7, 6)
PASSWORD = "three herons at dawn"
TIMEZONE = "America/Los_Angeles"
MORNING = "2026-07-06T11:00:00Z"


@dataclass
class Cast:
    """One company and what belongs to it."""

    company: Company
    owner: User
    office: User
    technician: User
    client: Client
    client_person: User
    site: Site
    controller: Controller
    zone: Zone
    program: Program
    change: Change
    run: NightlyRun


def person(email: str, **fields: Any) -> User:
    return User.objects.create_user(email, PASSWORD, **fields)


def worker(company: Company, role: str, domain: str) -> User:
    user = person(f"{role}@{domain}", name=f"{role.title()} of {company.name}")
    Membership.objects.create(user=user, company=company, role=role)
    return user


def reader(client: Client, email: str) -> User:
    user = person(email)
    ClientAccess.objects.create(user=user, client=client)
    return user


def a_site(client: Client, name: str = "North lot", **fields: Any) -> Site:
    place = {"latitude": 39.2, "longitude": -121.1, "elevation_m": 310.0, "timezone": TIMEZONE}
    return Site.objects.create(client=client, name=name, **{**place, **fields})


def a_zone(controller: Controller, number: int = 1, **fields: Any) -> Zone:
    return Zone.objects.create(controller=controller, number=number, **{"name": f"Bed {number}", **fields})


def a_program(controller: Controller, letter: str = "A", **fields: Any) -> Program:
    usual: dict[str, Any] = {"days": "daily", "starts": ["04:30"], "effective": date(2026, 4, 1)}
    return Program.objects.create(controller=controller, letter=letter, **{**usual, **fields})


def a_change(program: Program, **fields: Any) -> Change:
    """Create a pending change of 100 to 85 percent unless told otherwise."""
    usual: dict[str, Any] = {
        "kind": "percent",
        "current": 100,
        "proposed": 85,
        "effective_from": TODAY,
        "reason": "Cooler week ahead.",
        "effect_litres": -8200.0,
        "effect_money": "-21.40",
        "risk_keep": "none",
        "risk_change": "none",
        "inputs": {"horizon_days": 7},
    }
    return Change.objects.create(program=program, **{**usual, **fields})


def a_skip(program: Program, **fields: Any) -> Change:
    """Create a pending rain skip for tonight unless told otherwise."""
    usual = {"kind": "rain_skip", "current": None, "proposed": None, "effective_to": TODAY, "reason": "Rain."}
    return a_change(program, **{**usual, **fields})


def a_run(company: Company, on: date = TODAY, **fields: Any) -> NightlyRun:
    run, _ = NightlyRun.objects.get_or_create(
        date=on,
        timezone=TIMEZONE,
        defaults={"started_at": MORNING, "finished_at": MORNING, "state": "done", "counts": {"proposed": 99}},
    )
    usual = {"counts": {"proposed": 1, "failed": 0}, "failures": []}
    NightlyRunCompany.objects.create(run=run, company=company, **{**usual, **fields})
    return run


def a_cast(name: str = "Larkspur Irrigation", domain: str = "larkspur.test") -> Cast:
    company = Company.objects.create(name=name)
    client = Client.objects.create(company=company, name=f"School of {name}", access_from=date(2026, 5, 1))
    site = a_site(client, f"Grounds of {name}")
    controller = Controller.objects.create(site=site, name=f"Gym wall of {name}", serial_number="L-1")
    zone = a_zone(controller)
    program = a_program(controller)
    ZoneRun.objects.create(program=program, zone=zone, minutes=12)
    run = a_run(company)
    return Cast(
        company=company,
        owner=worker(company, "owner", domain),
        office=worker(company, "office", domain),
        technician=worker(company, "technician", domain),
        client=client,
        client_person=reader(client, f"reader@{domain}"),
        site=site,
        controller=controller,
        zone=zone,
        program=program,
        change=a_change(program, deciding_zone=zone, run=run),
        run=run,
    )


@pytest.fixture
def on_the_day(settings: Any) -> date:
    """Stop the business day, so that a night is never over by accident."""
    settings.AS_OF = TODAY
    return TODAY


@pytest.fixture
def cast(db: None, on_the_day: date) -> Cast:
    return a_cast()


@pytest.fixture
def stranger(cast: Cast) -> User:
    """The owner of another company."""
    return worker(Company.objects.create(name="Quillback Gardens"), "owner", "quillback.test")


@pytest.fixture
def change(cast: Cast) -> Change:
    return cast.change


@pytest.fixture
def api() -> APIClient:
    return APIClient()
