"""The blanks of a meter, of a reading and of a bill."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from typing import Any
from zoneinfo import ZoneInfo

from common.errors import Refused
from desk.blanks import Blank, number, one_of, plain, without_thousands, words
from desk.sheets.episode import day_blank, hour_blank
from fleet.models import Meter, Site, WaterSource, Zone

UNITS = [(str(key), str(label)) for key, label in Meter.Unit.choices]


@dataclass(frozen=True)
class OpenedMeter:
    """What the form of a new meter shows."""

    unit: str
    name: str = ""
    serial_number: str = ""
    rolls_over_at: float | None = None
    mixed: bool = False
    source: WaterSource | None = None
    zones: tuple[Zone, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class OpenedReading:
    """What the form of a reading shows: day and time where the meter is."""

    read_on: date
    read_time: time
    value: float | None = None
    reset: bool = False
    note: str = ""


@dataclass(frozen=True)
class OpenedBill:
    """What the form of a new bill shows."""

    first: date | None = None
    last: date | None = None
    used: float | None = None
    charged: Decimal | None = None
    note: str = ""


def meter_blanks(site: Site) -> list[Blank]:
    """Return the blanks of a meter of a site."""
    sources = list(site.water_sources.order_by("name"))
    zones = list(
        Zone.objects.filter(controller__site=site)
        .select_related("controller")
        .order_by("controller__name", "controller", "number")
    )
    named = len({zone.controller_id for zone in zones}) > 1
    return [
        Blank(
            "name", "Name", read=words, most=80, required=True, effect="Where it is: Meter pit at the gate."
        ),
        Blank("serial_number", "Serial number", read=words, most=40, effect="Files are matched by it."),
        Blank(
            "unit",
            "Its register counts",
            read=one_of(UNITS),
            kind="choice",
            choices=UNITS,
            effect="As printed on its face or on the bill. It stays once there are readings.",
        ),
        amount_blank(
            "rolls_over_at",
            "Starts over at",
            least=1.0,
            effect="The first number it can't show: 1000000 for six digits. Empty where nobody knows.",
        ),
        Blank(
            "mixed",
            "Kitchens, bathrooms or anything else but irrigation hang on it too",
            read=bool,
            show=_yes,
            kind="check",
        ),
        Blank(
            "source",
            "Water it counts",
            read=_one_row({str(one.pk): one for one in sources}),
            show=lambda value: "" if value is None else str(value.pk),
            kind="choice",
            choices=[("", "all of the site's"), *((str(one.pk), str(one)) for one in sources)],
        ),
        Blank(
            "zones",
            "Zones behind it, where it isn't all of them",
            read=_rows({str(one.pk): one for one in zones}),
            show=_ids,
            kind="days",
            choices=[(str(one.pk), f"{one.controller}: {one}" if named else str(one)) for one in zones],
            most=10_000,
        ),
        Blank("note", "Note", read=words, most=200),
    ]


def reading_blanks(unit: str, *, new: bool) -> list[Blank]:
    """Return the blanks of a reading; one that is set right stays with its moment."""
    value = amount_blank("value", "It reads", unit=unit, required=True)
    reset = Blank(
        "reset",
        "The meter was replaced or set back: counting begins anew here",
        read=bool,
        show=_yes,
        kind="check",
    )
    note = Blank("note", "Note", read=words, most=200)
    when = [day_blank("read_on", "Read on", required=True), hour_blank("read_time", "At", required=True)]
    return [value, *when, reset, note] if new else [value, reset, note]


def bill_blanks(unit: str, *, new: bool) -> list[Blank]:
    """Return the blanks of a bill; one that is set right stays with its first day."""
    first = day_blank("first", "First day", required=True, effect="Bills need match no month.")
    rest = [
        day_blank("last", "Last day", required=True),
        amount_blank("used", "Used", unit=unit, required=True),
        Blank(
            "charged",
            "Charged for the water",
            read=money,
            show=lambda value: "" if value is None else str(value),
            unit=" ",
            effect="Without sewer and other charges, where the bill tells them apart.",
        ),
        Blank("note", "Note", read=words, most=200),
    ]
    return [first, *rest] if new else rest


def moment_of(values: dict[str, Any], timezone: str) -> datetime:
    """Return the moment of a reading's day and time where the meter is."""
    return datetime.combine(values["read_on"], values["read_time"], tzinfo=ZoneInfo(timezone))


def amount_blank(
    name: str, label: str, *, unit: str = " ", least: float = 0.0, effect: str = "", required: bool = False
) -> Blank:
    """Return a blank for an amount in its own unit, commas between thousands allowed."""

    def read(text: str) -> float | None:
        if not text:
            return None
        value = number(without_thousands(text))
        if value < least:
            raise Refused(f"{plain(least)} or more.")
        return value

    return Blank(
        name,
        label,
        read=read,
        show=lambda value: plain(value, 6),
        unit=unit,
        effect=effect,
        required=required,
    )


def _yes(value: Any) -> str:
    return "yes" if value else ""


def _ids(zones: Any) -> str:
    rows: Sequence[Zone] = zones.all() if hasattr(zones, "all") else zones
    return " ".join(sorted(str(zone.pk) for zone in rows))


def _one_row(rows: dict[str, WaterSource]) -> Callable[[str], WaterSource | None]:
    def read(text: str) -> WaterSource | None:
        if text and text not in rows:
            raise Refused("Pick one of those offered.")
        return rows[text] if text else None

    return read


def _rows(rows: dict[str, Zone]) -> Callable[[str], list[Zone]]:
    def read(text: str) -> list[Zone]:
        return [rows[key] for key in text.split() if key in rows]

    return read


def money(text: str) -> Decimal | None:
    """Return a typed sum, None where nothing was typed; Refused if it is none."""
    if not text:
        return None
    try:
        value = Decimal(without_thousands(text.lstrip("$€£ ")))
        if not value.is_finite() or not 0 <= value < 10**9:
            raise InvalidOperation
    except InvalidOperation:
        raise Refused("Type a sum alone, for example 412.80.") from None
    return value.quantize(Decimal("0.01"))
