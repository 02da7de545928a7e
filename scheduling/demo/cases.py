"""Where the hard cases of the demo stand: each by a name, as the row one would open."""

from dataclasses import dataclass
from typing import Any

from fleet.models import Client, Controller, Finding, Site, WateringRule, WaterSource, Zone
from scheduling.demo.dates import demo_calendar
from scheduling.demo.sky import missing_day
from scheduling.demo.tables import by_key
from scheduling.models import Change, Program
from weather.models import WeatherCell


@dataclass(frozen=True)
class Case:
    """One hard case: what is hard about it, and the row where it shows."""

    what: str
    row: Any


def cases() -> dict[str, Case]:
    """Return the hard cases of the demo that is loaded."""
    dunmore = program("dunmore_1", "A")
    return {
        "missing weather day": Case(
            f"Nothing was observed on {missing_day(demo_calendar())} in this cell.", _cell_of("ball_fields")
        ),
        "town rule": Case("Two days a week, whatever the field needs.", _rule("lathom_schools")),
        "too few days": Case(
            "Two waterings a week for grass that empties its soil in three days.", program("wagtail_1", "A")
        ),
        "night that doesn't fit": Case("Nine rotor lawns one after another.", program("tule_west_1", "A")),
        "leak": Case(
            "A broken lateral loses water day and night.", Finding.objects.get(zone=zone("windrow_one_1", 3))
        ),
        "approved and not entered": Case(
            "Approved nine days ago; nobody was at the controller since.",
            Change.objects.get(program=dunmore, status=Change.Status.APPROVED),
        ),
        "access not open": Case("The hand-over is still ahead.", client("ferreira")),
        "shrubs on a turf program": Case("The shrubs get what the grass needs.", zone("whitlow_1", 4)),
        "four controllers on one source": Case("They share 88 gallons a minute.", source("commons")),
        "closed site": Case("Left alone by the night.", site("heron")),
        "nobody reaches it": Case("Changes wait for a visit.", controller("iverson_levee_1")),
        "soil unknown": Case("The night lists it and proposes nothing.", zone("rushmere_1", 5)),
        "area unknown": Case("The night lists it and proposes nothing.", zone("market_1", 4)),
        "poor uniformity": Case("Cans found less than half even.", site("brannoc")),
        "one zone drives it": Case("Half the minutes its neighbours have.", zone("castellane_1", 3)),
        "growing in": Case("New grass, watered by the clock.", zone("hollis_1", 2)),
        "watered by hand": Case("The trees get a hose.", zone("hardware_corrin_1", 5)),
        "off": Case("A lawn given up for the summer.", zone("district_1", 2)),
        "whole controller": Case("One percent serves all programs.", controller("tamarack_front_1")),
        "policy of its own": Case("The board wants to see every move.", client("cottonbrook")),
    }


def client(key: str) -> Client:
    """Return a client by its key in the tables."""
    return Client.objects.get(name=by_key("clients")[key]["name"])


def site(key: str) -> Site:
    """Return a site by its key in the tables."""
    return Site.objects.get(name=by_key("sites")[key]["name"])


def source(key: str) -> WaterSource:
    """Return the water source of a site by the site's key in the tables."""
    return WaterSource.objects.get(site=site(key))


def controller(key: str) -> Controller:
    """Return a controller by its key in the tables."""
    row = by_key("controllers")[key]
    return Controller.objects.get(site=site(row["site"]), name=row["name"])


def zone(key: str, number: int) -> Zone:
    """Return a zone by its controller's key and its number."""
    return Zone.objects.get(controller=controller(key), number=number)


def program(key: str, letter: str) -> Program:
    """Return a program by its controller's key and its letter."""
    return Program.objects.get(controller=controller(key), letter=letter)


def _rule(key: str) -> WateringRule:
    return WateringRule.objects.get(name=by_key("watering_rules")[key]["name"])


def _cell_of(key: str) -> WeatherCell:
    cell = site(key).cell
    if cell is None:
        raise WeatherCell.DoesNotExist(key)
    return cell
