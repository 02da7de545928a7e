"""``manage.py replay``: a stretch of weather lived through again, decided each morning on what was known."""

import csv
import json
from argparse import ArgumentTypeError
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from common import clock
from common.errors import Refused
from fleet.models import Site
from scheduling.numerics.replay.foresight import Errors
from scheduling.numerics.replay.rules import delivered
from scheduling.selectors.replay.as_json import replay_as_json
from scheduling.selectors.replay.climate import Climate
from scheduling.selectors.replay.from_scratch import planned_season
from scheduling.selectors.replay.hours_file import read_hours
from scheduling.selectors.replay.living import Replayed, replayed
from scheduling.selectors.replay.plots import Plots
from scheduling.selectors.replay.protocol_score import STARTS, protocol_score
from scheduling.selectors.replay.six_zones import six_zones
from scheduling.selectors.replay.unknowns import Wrong, taken_wrong
from scheduling.selectors.replay.weather_file import read_weather
from scheduling.selectors.replay.zones_file import read_zones
from scheduling.services.replay_site import season_of_site

LATITUDES = (-66.0, 66.0)  # farther from the equator the sun doesn't rise or set every day
ELEVATIONS = (-450.0, 6_000.0)


class Command(BaseCommand):
    help = "Live a stretch of weather through again, decided each morning on what was known by then."

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--site", type=int, help="A site, by its id: its programs, its observed weather.")
        what.add_argument("--landscape", choices=["six-zones"], help="The published test landscape.")
        what.add_argument("--zones", type=Path, help="A CSV file of zones, planned from scratch.")
        parser.add_argument(
            "--weather", type=Path, help="A CSV file of daily weather, or of hourly with a column time."
        )
        parser.add_argument("--latitude", type=float, help="Of the weather. [degrees]")
        parser.add_argument("--longitude", type=float, help="Of hourly weather, east positive. [degrees]")
        parser.add_argument("--elevation", type=float, help="Of the weather. [m]")
        parser.add_argument("--from", dest="first", type=_day, required=True, help="First day.")
        parser.add_argument("--to", dest="last", type=_day, required=True, help="Last day.")
        parser.add_argument("--programs", type=int, default=3, help="Programs the controller holds.")
        parser.add_argument("--days-per-week", type=int, default=7, help="Days with water a week at most.")
        parser.add_argument("--delivery", default="nightly", help="nightly, weekly or visit:N.")
        parser.add_argument("--seed", type=int, default=0, help="Of the errors of the forecasts.")
        parser.add_argument(
            "--lasting", action="store_true", help="Forecasts of a day err alike each morning."
        )
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found, notes, assumed = self._live_through(options)
            wrong = taken_wrong(
                found.season,
                rules=delivered(options["delivery"]),
                forecasts=found.forecasts,
                right=found.decided,
                first_percent=found.first_percent,
            )
        except (Refused, ValueError, OSError, csv.Error) as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            told = replay_as_json(found, notes=notes, assumed=assumed)
            told["taken_wrong"] = [asdict(one) for one in wrong]
            if options["landscape"]:
                told["protocol"] = protocol_score(found.season, found.decided)
            self.stdout.write(json.dumps(told))
            return
        protocol = protocol_lines(found) if options["landscape"] else []
        for line in [*table(found), *notes, *wrong_lines(wrong), *protocol]:
            self.stdout.write(line)

    def _live_through(self, options: dict[str, Any]) -> tuple[Replayed, list[str], dict[str, list[str]]]:
        rules = delivered(options["delivery"])
        errors = Errors(lasting=options["lasting"])
        if options["seed"] < 0:
            raise Refused("--seed must be 0 or more.")
        if options["site"] is not None:
            site = Site.objects.select_related("cell", "client__company").filter(pk=options["site"]).first()
            if site is None:
                raise Refused(f"There is no site {options['site']}.")
            laid = season_of_site(
                site,
                first=options["first"],
                last=options["last"],
                on=clock.today(site.timezone),
                errors=errors,
                seed=options["seed"],
            )
            found = replayed(
                laid.season, rules=rules, forecasts=laid.forecasts, first_percent=laid.first_percent
            )
            return found, laid.notes, laid.assumed
        plots, climate, filled_in = _read(options)
        if options["first"] > options["last"]:
            raise Refused("--to lies before --from.")
        if options["programs"] < 1:
            raise Refused("--programs must be 1 or more.")
        if not 1 <= options["days_per_week"] <= 7:
            raise Refused("--days-per-week must be 1 to 7.")
        planned = planned_season(
            plots,
            climate,
            first=options["first"],
            last=options["last"],
            programs=options["programs"],
            days_per_week=options["days_per_week"],
            errors=errors,
            seed=options["seed"],
        )
        found = replayed(planned.season, rules=rules, forecasts=planned.forecasts)
        return found, [*planned.notes, *filled_in], plots.assumed


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is no date like 2026-05-01") from None


def _read(options: dict[str, Any]) -> tuple[Plots, Climate, list[str]]:
    """Read zones and weather from their files."""
    lacking = [f"--{name}" for name in ("weather", "latitude", "elevation") if options[name] is None]
    if lacking:
        raise Refused(f"Without --site a replay needs {', '.join(lacking)}.")
    for name, (low, high) in (("latitude", LATITUDES), ("elevation", ELEVATIONS)):
        if not low <= options[name] <= high:
            raise Refused(f"--{name} is {options[name]:g}, accepted {low:g} to {high:g}.")
    climate, filled_in = _weather(options)
    if options["zones"] is None:
        return six_zones(), climate, filled_in
    with options["zones"].open(newline="", encoding="utf-8-sig") as lines:
        return read_zones(lines, southern=options["latitude"] < 0), climate, filled_in


def _weather(options: dict[str, Any]) -> tuple[Climate, list[str]]:
    """Read daily weather, or hourly where the file has a column ``time``."""
    place = {"latitude_deg": options["latitude"], "elevation_m": options["elevation"]}
    with options["weather"].open(newline="", encoding="utf-8-sig") as lines:
        text = lines.read().splitlines()
    if text and "time" in text[0].split(","):
        if options["longitude"] is None or not -180 <= options["longitude"] <= 180:
            raise Refused("Hourly weather needs --longitude, -180 to 180.")
        return read_hours(text, longitude_deg=options["longitude"], **place)
    return read_weather(text, **place)


def table(found: Replayed) -> list[str]:
    """Return the season of every zone, and beside it what other ways would have come to."""
    season, score = found.season, found.decided.score
    lines = [
        f"{season.day(0)} to {season.day(season.days - 1)}, {season.days} days",
        f"{'':32}{'adequacy':>9}{'excess':>9}{'mm given':>10}{'least mm':>10}{'ratio':>7}",
    ]
    for zone, name in enumerate(season.zones):
        lines.append(
            f"{name[:31]:32}{score.adequacy[zone]:>9.2%}{score.excess[zone]:>9.2%}"
            f"{score.gross_mm[zone]:>10.0f}{score.least_gross_mm[zone]:>10.0f}{score.ratio[zone]:>7.2f}"
        )
    for name, course in (
        ("decided each morning", found.decided),
        ("left at 100 %", found.at_100),
        ("monthly percents", found.monthly),
    ):
        whole = course.score
        ratio = whole.gross_mm.sum() / found.decided.score.least_gross_mm.sum()
        lines.append(
            f"{name:32}{course.worst:>9.2%}{whole.excess.max():>9.2%}{whole.gross_mm.sum():>10.0f}"
            f"{'':>10}{ratio:>7.2f}"
        )
    return lines


def wrong_lines(wrong: list[Wrong]) -> list[str]:
    """Return what errors in what was believed would have done to the worst zone."""
    lines = [
        "If something was taken wrong (adequacy of the worst zone; with the soil looked at; with a trim):"
    ]
    for one in wrong:
        trimmed = "" if one.trimmed_adequacy is None else f", {one.trimmed_adequacy:.1%}"
        lines.append(f"  {one.worst_adequacy:.1%}, {one.looked_adequacy:.1%}{trimmed}: {one.words}")
    return lines


def protocol_lines(found: Replayed) -> list[str]:
    """Return the protocol's score in a few lines."""
    told = protocol_score(found.season, found.decided)
    if not told.get("valid"):
        return [f"Protocol: {told['windows']} windows, none with rain and ET enough to count. {told['note']}"]
    lines = [f"Protocol: {told['valid']} windows count. {told['note']}"]
    for share, name in STARTS.items():
        own = [one for one in told["readings"] if one["start_share"] == share]
        dry = min(own, key=lambda one: one["worst_adequacy"])
        wet = max(own, key=lambda one: one["worst_excess"])
        lines.append(
            f"  {name}: {told['passing'][name]:.1%} pass in all {len(own)} readings; worst adequacy "
            f"{dry['worst_adequacy']:.1%} ({dry['worst_adequacy_zone']}), worst excess "
            f"{wet['worst_excess']:.1%} ({wet['worst_excess_zone']})"
        )
    return lines
