"""The pack for a client whose access opens: zones, programs, this week, how to read it, whom to call."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from desk import cautions, dates, figures
from desk.apart import Apart, apart_at
from desk.cards import letterhead, paper_of
from fleet.models import Client, Controller, Site, Zone
from scheduling.models import ZoneRun
from scheduling.selectors.coming_week import SiteNight, coming_week
from scheduling.selectors.held import Held, held_by
from scheduling.selectors.simulate import Entry

HOW_TO_READ = (
    ("Zone", "Everything that one valve waters together."),
    ("Program", "Zones that are watered on the same days, one after another, from the same start."),
    (
        "Percent",
        "The seasonal adjustment: every run of a program is stretched or shortened by it. At 80 % a run of "
        "20 minutes lasts 16.",
    ),
    ("Cycles and soak", "A run is split in parts with pauses, so that water soaks in and doesn't run off."),
    ("Skipped", "A night is left out because rain, frost or wind makes watering useless or harmful."),
    ("Night", "From noon to noon: a start at four in the morning belongs to the evening before."),
)


def pack_words(client: Client, *, on: date) -> dict[str, Any]:
    """Return what a client's pack says, as controllers are set on ``on``; a fixed number of queries."""
    company = client.company
    units = company.units
    sites = list(Site.objects.filter(client=client).select_related("client__company", "watering_rule"))
    controllers = list(
        Controller.objects.filter(site__in=sites)
        .select_related("site__watering_rule")
        .order_by("site__name", "name")
    )
    zones: dict[int, list[Zone]] = {box.pk: [] for box in controllers}
    for zone in Zone.objects.filter(controller__in=controllers).order_by("number"):
        zones[zone.controller_id].append(zone)
    held, week = held_by(controllers, first=on, last=on), coming_week(sites)
    apart = apart_at(controllers, night=on, units=units)
    return {
        "company": letterhead(company),
        "paper": paper_of(units),
        "client": client.name,
        "made_on": dates.long_day(on, units),
        "opens": dates.long_day(client.access_from, units) if client.access_from else "",
        "sites": [
            {
                "name": site.name,
                "address": site.address,
                "closed": site.season == Site.Season.CLOSED,
                "controllers": [
                    _controller(box, zones[box.pk], held, apart[box.pk], on=on)
                    for box in controllers
                    if box.site_id == site.pk
                ],
                "nights": _nights(week.get(site.pk, []), site.timezone, units=units),
            }
            for site in sites
        ],
        "how_to_read": [list(pair) for pair in HOW_TO_READ],
        "call": _call(client),
        "cautions": list(cautions.SITE),
    }


def _controller(
    box: Controller, zones: Sequence[Zone], held: Held, apart: Apart, *, on: date
) -> dict[str, Any]:
    of_zone = apart.of_zone
    entries = sorted(held.box(box, on).entries, key=lambda entry: entry.program.letter)
    runs: dict[int, list[tuple[Entry, ZoneRun]]] = {}
    for entry in entries:
        for run in entry.runs:
            runs.setdefault(run.zone_id, []).append((entry, run))
    return {
        "name": box.name,
        "apart": apart.for_client,
        "programs": [
            {
                "letter": entry.program.letter,
                "name": entry.program.name,
                "days": dates.watering_days(entry.program.days),
                "starts": ", ".join(dates.clock_time(at, apart.units) for at in entry.program.start_times())
                or "none",
                "percent": figures.percent(entry.percent),
            }
            for entry in entries
        ],
        "zones": [
            {
                "number": zone.number,
                "name": zone.name,
                "plants": zone.get_plant_display(),
                "heads": zone.get_head_display(),
                "runs": "; ".join(_run(entry, run) for entry, run in runs.get(zone.pk, []))
                or "not in a program",
                "apart": "; ".join(of_zone.get(zone.pk, [])),
            }
            for zone in zones
        ],
    }


def _run(entry: Entry, run: ZoneRun) -> str:
    minutes = f"{entry.program.letter}: {run.minutes:g}{figures.NBSP}min"
    return f"{minutes}, in cycles of {run.cycle:g}" if run.cycle and run.minutes > run.cycle else minutes


def _nights(nights: Sequence[SiteNight], timezone: str, *, units: str) -> list[list[str]]:
    return [[dates.day(night.night, units), _night(night, timezone, units=units)] for night in nights]


def _night(night: SiteNight, timezone: str, *, units: str) -> str:
    if night.start is not None:
        first, last = _local(night.start, timezone), _local(night.end, timezone)
        letters = ", ".join(sorted({one.program.letter for one in night.programs if not one.skipped}))
        return (
            f"waters from {dates.clock_time(first, units)} to {dates.clock_time(last, units)} "
            f"(program{'s' if ',' in letters else ''} {letters})"
        )
    skipped = next((one.skipped for one in night.programs if one.skipped), "")
    return f"skipped. {skipped}" if skipped else "rests"


def _local(moment: datetime | None, timezone: str) -> datetime:
    assert moment is not None
    return moment.astimezone(ZoneInfo(timezone))


def _call(client: Client) -> list[str]:
    company = client.company
    words = [company.name, company.contact_name, company.phone, company.email]
    return [word for word in words if word]
