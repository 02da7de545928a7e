"""An invented garden whose client writes: lawns by night, beds in the evening. 14 July 2026 is a Tuesday."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from fleet.models import Client, ClientNote, User, Zone
from fleet.services.client_notes import write_note
from scheduling.models import Program, Setting, ZoneRun
from tests.cast import reader
from tests.night.garden import ON, Garden, garden, weather, zone

SATURDAY = date(2026, 7, 18)


@dataclass
class Written:
    """A garden, its reader, and a note that asks for a dry Saturday."""

    garden: Garden
    reader: User
    beds: Program
    bed: Zone
    note: ClientNote


def a_garden_that_reads(name: str = "Heron", **options: Any) -> tuple[Garden, User]:
    made = garden(name, days="daily", **options)
    Client.objects.filter(pk=made.client.pk).update(access_from=date(2026, 5, 1))
    return made, reader(made.client, f"reader@{name.lower()}.test")


def beds_of(made: Garden) -> tuple[Program, Zone]:
    """Add a program that waters from 20:00 on, on Saturdays and Mondays."""
    planted = zone(made.controller, 9, name="Beds", plant="shrubs")
    beds = Program.objects.create(
        controller=made.controller, letter="B", name="Beds", days="mon sat", starts=["20:00"],
        effective=made.program.effective,
    )  # fmt: skip
    ZoneRun.objects.create(program=beds, zone=planted, minutes=20)
    Setting.objects.create(program=beds, percent=100, effective_from=beds.effective)
    return beds, planted


@pytest.fixture
def written(db: None, settings: Any) -> Written:
    settings.AS_OF = ON
    made, person = a_garden_that_reads(minutes=30.0)
    weather(made.cell)
    beds, planted = beds_of(made)
    note = write_note(
        site=made.site,
        by=person,
        words="Please keep the lawn dry on Saturday, the choir sings there.",
        dry_from=SATURDAY,
    )
    return Written(made, person, beds, planted, note)
