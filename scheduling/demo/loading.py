"""Put the demo into an empty database, or take it out again; never touch anybody else's rows."""

from dataclasses import dataclass

from django.db import transaction

from common.errors import Refused
from fleet.history import forget_what_is_gone
from fleet.models import Company, Site, User, WateringRule
from scheduling.demo import company, drawings, meters, programs, properties, rounds, sky, survey, unentered
from scheduling.demo.dates import demo_calendar
from scheduling.demo.rows import Rows
from scheduling.models import NightlyRun
from weather.models import WeatherCell

EMPTY, DEMO, OTHER = "empty", "demo", "other"


@dataclass(frozen=True)
class Loaded:
    """What the demo holds."""

    clients: int
    sites: int
    controllers: int
    zones: int
    programs: int
    cells: int


def state() -> str:
    """Tell what the database holds: nothing, the demo, or something that must be left alone."""
    names = set(Company.objects.values_list("name", flat=True))
    known = {person.email for person in company.PEOPLE}
    signed_up = User.objects.filter(email__in=known).count()
    if not names and not signed_up:
        return EMPTY
    return DEMO if names == {company.COMPANY} and signed_up == len(known) else OTHER


@transaction.atomic
def load() -> Loaded:
    """Load the demo into a database without a company.

    Raises
    ------
    Refused
        If there is a company already, or somebody who signs in under one of the demo's addresses.
    """
    if state() != EMPTY:
        raise Refused("This database already holds a company; the demo only goes into an empty one.")
    rows = Rows(calendar=demo_calendar(), company=company.add_company())
    company.add_tariffs(rows)
    company.add_rules(rows)
    properties.add_clients(rows)
    properties.add_sites(rows)
    properties.add_sources(rows)
    properties.add_controllers(rows)
    survey.add_zones(rows)
    company.add_people(rows)
    company.add_policies(rows)
    programs.add_programs(rows)
    programs.add_runs(rows)
    programs.add_settings(rows)
    rounds.add_visits(rows)
    rounds.add_findings(rows)
    rounds.add_soil_observations(rows)
    rounds.add_trims(rows)
    rounds.add_episodes(rows)
    rounds.add_client_notes(rows)
    meters.add_meters(rows)
    cells = sky.add_weather(rows)
    unentered.add_change(rows)
    drawings.add_photos(rows)  # last: files aren't taken back with a transaction
    return Loaded(
        clients=len(rows.clients),
        sites=len(rows.sites),
        controllers=len(rows.controllers),
        zones=len(rows.zones),
        programs=len(rows.programs),
        cells=cells,
    )


@transaction.atomic
def remove() -> None:
    """Take the demo out: its company, its people, its weather and the nights that ran for it.

    Raises
    ------
    Refused
        If the database holds anything but the demo.
    """
    if state() != DEMO:
        raise Refused("This database isn't the demo's; nothing was removed.")
    cells = set(Site.objects.exclude(cell=None).values_list("cell", flat=True))
    WateringRule.objects.all().delete()  # a town isn't deleted while rules hold for it
    Company.objects.all().delete()
    User.objects.filter(email__in=[person.email for person in company.PEOPLE]).delete()
    NightlyRun.objects.all().delete()
    WeatherCell.objects.filter(pk__in=cells).delete()
    forget_what_is_gone()
