"""The blanks of the plain steps: client, place, water, access."""

from datetime import date
from typing import Any
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from common.errors import Refused
from desk.blanks import Blank, one_of, words
from desk.set_up.amounts import BUCKET, HEIGHT, PRESSURE, SECONDS, SOURCE_FLOW, Amount
from fleet.models import Client, SetUpDraft, Site, Tariff, User, WateringRule, WaterSource
from fleet.numerics.coordinates import read_coordinates
from fleet.services.client_opening import MOST_READERS

MOST_OFFERED = 2_000
Choices = list[tuple[str, str]]


def client_blanks(draft: SetUpDraft, user: User) -> list[Blank]:
    """Return the blanks of the client."""
    rows = Client.objects.visible_to(user).of_company(draft.company_id).order_by("name")
    old: Choices = [("", "a new client, below"), *_offered(rows)]
    return [
        Blank("existing", "Whose site is it?", read=one_of(old), kind="choice", choices=old),
        Blank(
            "name", "Name of the new client", read=words, most=120, effect="Empty if you picked one above."
        ),
        Blank("email", "E-mail", read=_email, most=254),
        Blank("phone", "Phone", read=words, most=40),
        Blank(
            "note",
            "Note",
            read=words,
            kind="long",
            most=10_000,
            effect="For your own people; clients never see it.",
        ),
    ]


def place_blanks(draft: SetUpDraft, user: User) -> list[Blank]:
    """Return the blanks of the site's place."""
    rules: Choices = [("", "none"), *_offered(_own(WateringRule, draft, user))]
    prices: Choices = [("", "none yet"), *_offered(_own(Tariff, draft, user))]
    seasons = list(Site.Season.choices)
    return [
        Blank(
            "name",
            "Name of the site",
            read=words,
            most=120,
            required=True,
            effect="For example Main grounds.",
        ),
        Blank(
            "address",
            "Address",
            read=words,
            most=200,
            effect="With a US ZIP code it gives a place to begin with.",
        ),
        Blank(
            "place",
            "Coordinates",
            read=_coordinates,
            most=80,
            effect="Such as 39.21, -121.06 or 39°12'36\"N 121°3'36\"W.",
        ),
        _amount("elevation", "Height above sea level", HEIGHT, draft.units),
        Blank("timezone", "Time zone", read=_timezone, most=64, effect="Empty: found from the coordinates."),
        Blank(
            "season",
            "Season",
            read=one_of([("", ""), *seasons]),
            kind="choice",
            choices=[seasons[2], *seasons[:2], seasons[3]],
        ),
        Blank("watering_rule", "Watering rule", read=one_of(rules), kind="choice", choices=rules),
        Blank("tariff", "Price of water", read=one_of(prices), kind="choice", choices=prices),
    ]


def water_blanks(draft: SetUpDraft, user: User, *, client: int | None) -> list[Blank]:
    """Return the blanks of the water source; a known client's own sources can be shared."""
    mine = WaterSource.objects.visible_to(user).of_company(draft.company_id).filter(site__client=client)
    sources = mine.select_related("site").order_by("site__name", "name")[:MOST_OFFERED]
    shared: Choices = [("", "a new one, below")]
    shared += [(str(row.pk), f"{row.name} at {row.site.name}") for row in sources] if client else []
    kinds = list(WaterSource.Kind.choices)
    return [
        Blank(
            "existing",
            "Where does the water come from?",
            read=one_of(shared),
            kind="choice",
            choices=shared,
            effect="A source several controllers or sites share is set up once; its flow counts for all.",
        ),
        Blank(
            "name", "Name of the new source", read=words, most=80, effect="For example Meter on Elm Street."
        ),
        Blank("kind", "Kind of water", read=one_of([("", ""), *kinds]), kind="choice", choices=kinds),
        _amount("flow", "Flow it gives", SOURCE_FLOW, draft.units),
        _amount("pressure", "Pressure with nothing running, if known", PRESSURE, draft.units),
        _amount("bucket", "Bucket holds", BUCKET, draft.units),
        _amount("seconds", "Seconds until it is full", SECONDS, draft.units),
    ]


def access_blanks() -> list[Blank]:
    """Return the blanks of the client's access."""
    return [
        Blank(
            "access_from",
            "Open from",
            read=_day,
            most=10,
            kind="date",
            effect="Empty: not open yet. You can open it later on the client's page.",
        ),
        Blank(
            "readers",
            "E-mail addresses of those who may look",
            read=_readers,
            kind="long",
            most=4_000,
            effect="One on each line. They may look at everything of theirs and change nothing.",
        ),
    ]


def _amount(name: str, label: str, amount: Amount, units: str, effect: str = "") -> Blank:
    return Blank(
        name, label, read=lambda text: amount.read(text, units), unit=amount.unit(units), effect=effect
    )


def _own(model: Any, draft: SetUpDraft, user: User) -> Any:
    return model.objects.visible_to(user).of_company(draft.company_id).order_by("name")


def _offered(rows: Any) -> Choices:
    return [(str(pk), name) for pk, name in rows.values_list("pk", "name")[:MOST_OFFERED]]


def _email(text: str) -> str:
    if text:
        try:
            validate_email(text)
        except ValidationError:
            raise Refused("Type an e-mail address, for example name@place.example.") from None
    return text


def _readers(text: str) -> list[str]:
    found = [line for line in text.replace(",", "\n").replace(";", "\n").split() if line]
    for line in found:
        if len(line) > 254:
            raise Refused("One of these is too long for an e-mail address.")
        _email(line)
    if len(found) > MOST_READERS:
        raise Refused(f"{MOST_READERS} people at the most.")
    return found


def _coordinates(text: str) -> tuple[float, float] | None:
    if not text:
        return None
    try:
        return read_coordinates(text)
    except ValueError as error:
        raise Refused(str(error)) from None


def _timezone(text: str) -> str:
    if text and text not in available_timezones():
        raise Refused("Write a time zone such as America/Denver, or leave it empty.")
    return text


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Refused("Type the date as year-month-day, for example 2026-07-14.") from None
    if not 2000 <= day.year <= 2100:
        raise Refused("Type a day of this century.")
    return day
