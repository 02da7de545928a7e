"""What somebody typed over a plan, from the fields of its form."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.http.request import QueryDict

from common.errors import Refused
from desk import posted
from desk.start_typed import starts_in
from fleet.models import Zone
from scheduling.selectors.plan.asked import Overrides
from scheduling.selectors.plan.overruling import overrides_of

ZONE_FIELDS = ("program", "minutes", "cycle", "soak")
PROGRAM_FIELDS = ("days", "starts")
LONGEST = 200


def typed(form: QueryDict) -> dict[str, str]:
    """Return what was typed into the fields of a plan, empty ones left out."""
    found = {}
    for name, value in form.items():
        text = str(value).replace("\0", "").strip()[:LONGEST]
        if text and (name.startswith(("zone-", "program-")) or name == "effective"):
            found[name[:60]] = text
    return found


def overrides_in(fields: dict[str, str], zones: Iterable[Zone]) -> Overrides:
    """Return what is overruled.

    Raises
    ------
    Refused
        Naming the field of the form.
    """
    by_zone: dict[int, dict[str, Any]] = {}
    by_program: dict[str, dict[str, Any]] = {}
    known = list(zones)
    keys = {str(zone.pk) for zone in known}
    for field, text in fields.items():
        kind, _, rest = field.partition("-")
        key, _, name = rest.rpartition("-")
        if kind == "zone" and name in ZONE_FIELDS and key in keys:
            value: Any = text.upper() if name == "program" else _minutes(text, field)
            by_zone.setdefault(int(key), {})[name] = value
        elif kind == "program" and name in PROGRAM_FIELDS:
            words = text.lower().replace(",", " ").split()
            by_program.setdefault(key, {})[name] = (
                starts_in(text.lower()) if name == "starts" else " ".join(words)
            )
    try:
        return overrides_of(by_zone, by_program, known=known)
    except Refused as error:
        raise Refused(error.message, field=_field(error.field)) from error


def boxes(
    fields: dict[str, str], kind: str, key: object, planned: dict[str, str], *, wrong: str
) -> dict[str, dict[str, Any]]:
    """Return the input fields of a zone or program: what was typed, and what is planned instead."""
    found = {}
    for name, words in planned.items():
        field = f"{kind}-{key}-{name}"
        found[name] = {
            "name": field,
            "typed": fields.get(field, ""),
            "planned": words,
            "wrong": field == wrong,
        }
    return found


def night_in(fields: dict[str, str], *, tonight: date) -> date:
    """Return the night typed, else tonight.

    Raises
    ------
    Refused
        If it isn't a date within the coming year.
    """
    try:
        night = posted.day(fields.get("effective", "")) or tonight
    except Refused as error:
        raise Refused(error.message, field="effective") from error
    if not 0 <= (night - tonight).days <= 366:
        raise Refused("Say a night from tonight on, within a year.", field="effective")
    return night


def _minutes(text: str, field: str) -> float:
    number = text.removesuffix("min").strip().replace(",", ".")
    if len(number) > 7 or not number.isascii() or not number.replace(".", "", 1).isdecimal():
        raise Refused("Type minutes as a number, for example 12.", field=field)
    return float(number)


def _field(name: str) -> str:
    kind, _, rest = name.partition(".")
    if kind not in ("zones", "programs"):
        return name
    return f"{kind[:-1]}-{rest.replace('.', '-')}"
