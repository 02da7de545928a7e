"""``manage.py replay``: a stretch of weather lived through again, decided each morning on what was known."""

import json
from argparse import ArgumentTypeError
from dataclasses import asdict, replace
from datetime import date
from math import isfinite, nan
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
from scheduling.selectors.replay.csv_lines import lines_of
from scheduling.selectors.replay.fleet_json import SiteTold, fleet_as_json, fleet_table
from scheduling.selectors.replay.from_scratch import planned_season
from scheduling.selectors.replay.hours_file import read_hours
from scheduling.selectors.replay.living import Replayed, replayed
from scheduling.selectors.replay.plots import Plots
from scheduling.selectors.replay.protocol_score import STARTS, protocol_score
from scheduling.selectors.replay.six_zones import six_zones
from scheduling.selectors.replay.unknowns import Wrong, taken_wrong
from scheduling.selectors.replay.weather_file import read_weather
from scheduling.selectors.replay.zones_file import read_zones
from scheduling.services.replay_site import SiteSeason, season_of_site

LATITUDES = (-66.0, 66.0)  # farther from the equator the sun doesn't rise or set every day
ELEVATIONS = (-450.0, 6_000.0)


class Command(BaseCommand):
    help = "Live a stretch of weather through again, decided each morning on what was known by then."

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--site", type=int, help="A site, by its id: its programs, its observed weather.")
        what.add_argument("--company", type=int, help="Every site of a company, by its id, as one.")
        what.add_argument("--landscape", choices=["six-zones"], help="The published test landscape.")
        what.add_argument("--zones", type=Path, help="A CSV file of zones, planned from scratch.")
        parser.add_argument(
            "--weather",
            type=Path,
            help="A CSV file of daily weather, or of hourly with a column time. "
            "With --site it takes the place of what was observed.",
        )
        parser.add_argument("--latitude", type=float, help="Of the weather; a site has its own. [degrees]")
        parser.add_argument("--longitude", type=float, help="Of hourly weather, east positive. [degrees]")
        parser.add_argument("--elevation", type=float, help="Of the weather; a site has its own. [m]")
        parser.add_argument("--from", dest="first", type=_day, required=True, help="First day.")
        parser.add_argument("--to", dest="last", type=_day, required=True, help="Last day.")
        parser.add_argument("--programs", type=int, help="Programs the controller holds, usually 3.")
        parser.add_argument("--days-per-week", type=int, help="Days with water a week at most, usually 7.")
        parser.add_argument("--delivery", default="nightly", help="nightly, weekly or visit:N.")
        parser.add_argument("--seed", type=int, default=0, help="Of the errors of the forecasts.")
        parser.add_argument(
            "--lasting", action="store_true", help="Forecasts of a day err alike each morning."
        )
        parser.add_argument("--json", action="store_true", help="Print one JSON object and nothing else.")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["company"] is not None:
            told = self._fleet(options)
            whole = [json.dumps(told, allow_nan=False)] if options["json"] else fleet_table(told)
            self.stdout.write("\n".join(whole))
            return
        if options["site"] is None and options["zones"] is None:
            options["landscape"] = "six-zones"
        try:
            found, notes, assumed, wrong = self._all(options)
        except (Refused, ValueError) as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            told = _as_json(found, notes, assumed, wrong)
            if options["landscape"]:
                told["protocol"] = protocol_score(found.season, found.decided)
            self.stdout.write(json.dumps(told, allow_nan=False))
            return
        protocol = protocol_lines(found) if options["landscape"] else []
        for line in [*table(found), *notes, *wrong_lines(wrong), *protocol]:
            self.stdout.write(line)

    def _all(self, options: dict[str, Any]) -> tuple[Replayed, list[str], dict[str, list[str]], list[Wrong]]:
        """Live a season through, and again with each thing taken wrong."""
        found, notes, assumed = self._live_through(options)
        rules = delivered(options["delivery"])
        if not rules.skips:
            notes = [*notes, f"Delivered {options['delivery']}: no night is left out for rain."]
        wrong = taken_wrong(
            found.season,
            rules=rules,
            forecasts=found.forecasts,
            right=found.decided,
            first_percent=found.first_percent,
        )
        return found, notes, assumed, wrong

    def _fleet(self, options: dict[str, Any]) -> dict[str, Any]:
        """Live every site of a company through; those that can't be are named with the reason."""
        told: list[SiteTold] = []
        left_out: list[dict[str, Any]] = []
        for site in Site.objects.filter(client__company=options["company"]).order_by("name", "pk"):
            try:
                season = _as_json(*self._all(options | {"site": site.pk}))
            except Refused as error:
                left_out.append({"id": site.pk, "name": str(site), "reason": error.message})
            except ValueError as error:
                raise CommandError(str(error)) from error
            else:
                told.append(SiteTold(site.pk, str(site), season))
        if not told:
            why = f": {left_out[0]['reason']}" if left_out else " or no such company."
            raise CommandError(f"Company {options['company']} has no site to live through{why}")
        return fleet_as_json(told, left_out=left_out)

    def _live_through(self, options: dict[str, Any]) -> tuple[Replayed, list[str], dict[str, list[str]]]:
        if options["first"] > options["last"]:
            raise Refused("--to lies before --from.")
        rules = delivered(options["delivery"])
        errors = Errors(lasting=options["lasting"])
        if options["seed"] < 0:
            raise Refused("--seed must be 0 or more.")
        if options["site"] is not None:
            laid = _site(options, errors)
            found = replayed(
                laid.season, rules=rules, forecasts=laid.forecasts, first_percent=laid.first_percent
            )
            return found, laid.notes, laid.assumed
        plots, climate, filled_in = _read(options)
        programs = 3 if options["programs"] is None else options["programs"]
        days_per_week = 7 if options["days_per_week"] is None else options["days_per_week"]
        if programs < 1:
            raise Refused("--programs must be 1 or more.")
        if not 1 <= days_per_week <= 7:
            raise Refused("--days-per-week must be 1 to 7.")
        planned = planned_season(
            plots,
            climate,
            first=options["first"],
            last=options["last"],
            programs=programs,
            days_per_week=days_per_week,
            errors=errors,
            seed=options["seed"],
        )
        found = replayed(planned.season, rules=rules, forecasts=planned.forecasts)
        return found, [*planned.notes, *filled_in], plots.assumed


def _as_json(
    found: Replayed, notes: list[str], assumed: dict[str, list[str]], wrong: list[Wrong]
) -> dict[str, Any]:
    told = replay_as_json(found, notes=notes, assumed=assumed)
    told["taken_wrong"] = [asdict(one) for one in wrong]
    return told


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is no date like 2026-05-01") from None


def _site(options: dict[str, Any], errors: Errors) -> SiteSeason:
    """Lay out a season of a site, on its own weather or on that of a file."""
    site = Site.objects.select_related("cell", "client__company").filter(pk=options["site"]).first()
    if site is None:
        raise Refused(f"There is no site {options['site']}.")
    own = {"latitude": site.latitude, "longitude": site.longitude, "elevation": site.elevation_m}
    told = options | {name: own[name] if options[name] is None else options[name] for name in own}
    climate, filled_in = (None, []) if options["weather"] is None else _weather(told)
    laid = season_of_site(
        site,
        first=options["first"],
        last=options["last"],
        on=clock.today(site.timezone),
        errors=errors,
        seed=options["seed"],
        climate=climate,
    )
    unused = [
        f"--{name.replace('_', '-')}" for name in ("programs", "days_per_week") if options[name] is not None
    ]
    if unused:
        filled_in = [
            *filled_in,
            f"A site keeps its own programs and days, not {', '.join(unused)}.",
        ]
    return replace(laid, notes=[*laid.notes, *filled_in])


def _read(options: dict[str, Any]) -> tuple[Plots, Climate, list[str]]:
    """Read zones and weather from their files."""
    lacking = [f"--{name}" for name in ("weather", "latitude", "elevation") if options[name] is None]
    if lacking:
        raise Refused(f"Without --site a replay needs {', '.join(lacking)}.")
    climate, filled_in = _weather(options)
    if options["zones"] is None:
        return six_zones(), climate, filled_in
    lines = lines_of(options["zones"])
    return read_zones(lines, southern=options["latitude"] < 0), climate, filled_in


def _weather(options: dict[str, Any]) -> tuple[Climate, list[str]]:
    """Read daily weather, or hourly where the file has a column ``time``."""
    for name, (low, high) in (("latitude", LATITUDES), ("elevation", ELEVATIONS)):
        if options[name] is None or not low <= options[name] <= high:
            said = "missing" if options[name] is None else f"{options[name]:g}"
            raise Refused(f"--{name} is {said}, accepted {low:g} to {high:g}.")
    place = {"latitude_deg": options["latitude"], "elevation_m": options["elevation"]}
    text = lines_of(options["weather"])
    if text and "time" in (head.strip().lower() for head in text[0].split(",")):
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
            f"{score.gross_mm[zone]:>10.0f}{score.least_gross_mm[zone]:>10.0f}{_times(score.ratio[zone])}"
        )
    for name, course in (
        ("decided each morning", found.decided),
        ("left at 100 %", found.at_100),
        ("monthly percents", found.monthly),
    ):
        whole = course.score
        least = found.decided.score.least_gross_mm.sum()
        ratio = whole.gross_mm.sum() / least if least > 0 else nan
        lines.append(
            f"{name:32}{course.worst:>9.2%}{whole.excess.max():>9.2%}{whole.gross_mm.sum():>10.0f}"
            f"{'':>10}{_times(ratio)}"
        )
    return lines


def _times(ratio: float) -> str:
    return f"{ratio:>7.2f}" if isfinite(ratio) else f"{'-':>7}"


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
