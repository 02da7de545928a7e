"""The blanks of the company itself: its name, its units, and how clients reach it."""

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from common.errors import Refused
from desk.blanks import Blank, one_of, words
from fleet.models import Company


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
        Blank("postal_address", "Postal address", read=words, most=400, kind="long"),
    ]


def _email(text: str) -> str:
    if text:
        try:
            validate_email(text)
        except ValidationError:
            raise Refused("Type an e-mail address such as office@example.com.") from None
    return text
