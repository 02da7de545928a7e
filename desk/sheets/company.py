"""The blanks of the company itself: its name, its units, and how clients reach it."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from common.errors import Refused
from desk.blanks import Blank, number, one_of, plain, words
from fleet.models import Company

MOST_COST = 100_000
LEAST_FACTOR, MOST_FACTOR = 10, 100


def company_blanks() -> list[Blank]:
    """Return the blanks of a company."""
    return [
        Blank("name", "Company", read=words, most=120, required=True),
        Blank(
            "units",
            "Units",
            read=one_of(Company.Units.choices),
            kind="choice",
            choices=[("us", "US customary"), ("metric", "Metric")],
            effect="How every amount is shown and typed. Nothing that is stored changes.",
        ),
        Blank("contact_name", "Whom clients ask for", read=words, most=120),
        Blank("phone", "Phone", read=words, most=40),
        Blank("email", "E-mail", read=_email, most=254),
        Blank(
            "visit_cost",
            "What a visit costs",
            read=_cost,
            show=lambda value: "" if value is None else f"{Decimal(value):.2f}",
            unit="in the company's currency",
            effect="Way and work of a usual visit. Empty: visits are told without money.",
        ),
        Blank(
            "budget_factor",
            "Water budget",
            read=_factor,
            show=lambda value: plain(100.0 * value),
            unit="% of reference ET on the watered area",
            effect="Use is shown against it for context. 70 % is the EPA's and was California's before 2015; "
            "now California has 55 % for new homes, 45 % for other new landscapes, 80 % for old ones over "
            "an acre.",
        ),
        Blank("postal_address", "Postal address", read=words, most=400, kind="long"),
    ]


def _cost(text: str) -> Decimal | None:
    if not text:
        return None
    value = number(text.removeprefix("$").strip())
    if not 0 <= value <= MOST_COST:
        raise Refused(f"It must lie between 0 and {MOST_COST:,}.")
    return Decimal(f"{value:.2f}")


def _factor(text: str) -> float:
    value = number(text.removesuffix("%").strip())
    if not LEAST_FACTOR <= value <= MOST_FACTOR:
        raise Refused(f"It must lie between {LEAST_FACTOR} and {MOST_FACTOR}.")
    return round(value / 100.0, 4)


def _email(text: str) -> str:
    if text:
        try:
            validate_email(text)
        except ValidationError:
            raise Refused("Type an e-mail address such as office@example.com.") from None
    return text
