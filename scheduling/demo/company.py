"""The contractor itself: its people, what it lets the service do alone, prices of water, rules of towns."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from django.contrib.auth.hashers import make_password

from fleet.models import ClientAccess, Company, Membership, Policy, Tariff, Town, User, WateringRule
from fleet.models.tariffs import TIER_FIELDS, tiers_of
from scheduling.demo.rows import Rows
from scheduling.demo.tables import table

COMPANY = "Harrow and Sedge Irrigation"
PASSWORD = "bluestem-demo"


@dataclass(frozen=True)
class Person:
    """Somebody who signs in: with a role in the company, or as a client."""

    email: str
    name: str
    role: str = ""
    client: str = ""


PEOPLE = (
    Person("owner@bluestem.example", "Maren Sedgewick", role=Membership.Role.OWNER),
    Person("office@bluestem.example", "Tobin Ashgrove", role=Membership.Role.OFFICE),
    Person("tech@bluestem.example", "Lucia Penhale", role=Membership.Role.TECHNICIAN),
    Person("client@bluestem.example", "Edda Marwick", client="cottonbrook"),
    Person("newclient@bluestem.example", "Nuno Ferreira", client="ferreira"),
)


def add_company() -> Company:
    return Company.objects.create(
        name=COMPANY,
        units=Company.Units.US,
        currency="USD",
        visit_cost=Decimal(85),
        phone="555-0123",
        email="office@bluestem.example",
    )


def add_people(rows: Rows) -> None:
    """Add everybody who signs in; clients come with the client they may read."""
    hashed = make_password(PASSWORD)  # once: one hash takes longer than a table
    for person in PEOPLE:
        user = User.objects.create(email=person.email, name=person.name, password=hashed)
        rows.people[person.email.split("@")[0]] = user
        if person.role:
            Membership.objects.create(user=user, company=rows.company, role=person.role)
        else:
            ClientAccess.objects.create(user=user, client=rows.clients[person.client])


def add_policies(rows: Rows) -> None:
    """Let small moves pass by themselves, but not where somebody wants to see every one."""
    Policy.objects.create(
        company=rows.company,
        auto_skips=False,
        auto_move_points=5,
        percent_min=20,
        percent_max=160,
        dead_band_points=5,
        uniformity_margin=1.0,
        visit_worth_l=3000.0,
    )
    Policy.objects.create(
        company=rows.company, client=rows.clients["cottonbrook"], auto_skips=True, auto_move_points=0
    )
    Policy.objects.create(company=rows.company, client=rows.clients["dunmore"], auto_move_points=0)


def add_tariffs(rows: Rows) -> None:
    listed = table("tariffs")
    made = Tariff.objects.bulk_create(
        Tariff(
            company=rows.company,
            name=row["name"],
            price_per_m3=Decimal(row["price_per_m3"]),
            currency="USD",
            unit=row["unit"],
            fixed_charge=Decimal(row["fixed_charge"]),
            tiers=[tier.kept() for tier in tiers_of(_tiers(row["tiers"]))],
        )
        for row in listed
    )
    rows.tariffs = {row["key"]: tariff for row, tariff in zip(listed, made, strict=True)}


def _tiers(text: str) -> Iterator[dict[str, str]]:
    """Yield the tiers of a list such as 0 at 3.40; 30 at 5.21 05-01 09-30."""
    for part in filter(None, text.split("; ")):
        above, _, price, *season = part.split()
        yield dict(zip(TIER_FIELDS, (above, price, *season), strict=False))


def add_rules(rows: Rows) -> None:
    """Add the rules, and the town whose stage some of them belong to: under its first since spring."""
    listed = table("watering_rules")
    towns = {
        name: Town.objects.create(company=rows.company, name=name, stage=1)
        for name in sorted({row["town"] for row in listed if row["town"]})
    }
    made = WateringRule.objects.bulk_create(
        WateringRule(
            company=rows.company,
            name=row["name"],
            town=towns.get(row["town"]),
            stage=int(row["stage"]) if row["stage"] else None,
            addresses=row["addresses"],
            kind=row["kind"],
            weekdays=row["weekdays"],
            odd_weekdays=row["odd_weekdays"],
            even_weekdays=row["even_weekdays"],
            exempt_heads=row["exempt_heads"],
            zone_minutes=int(row["zone_minutes"]) if row["zone_minutes"] else None,
            less_percent=int(row["less_percent"]) if row["less_percent"] else None,
            parity=row["parity"],
            days_per_week=int(row["days_per_week"]) if row["days_per_week"] else None,
            hours_from=time.fromisoformat(row["hours_from"]),
            hours_to=time.fromisoformat(row["hours_to"]),
            source=f"{row['source']} (invented)",
        )
        for row in listed
    )
    rows.rules = {row["key"]: rule for row, rule in zip(listed, made, strict=True)}
