"""The words of a form's fields for telling what was changed in them."""

from collections.abc import Callable
from typing import Any

from desk.blanks import Blank
from desk.sheets.bill import bill_blanks
from desk.sheets.company import company_blanks
from desk.sheets.kind import kind_blanks
from desk.sheets.policy import policy_blanks
from desk.sheets.price import PER, price_blanks, usual_per
from desk.sheets.rule import rule_blanks
from desk.sheets.town import town_blanks
from fleet.models import SettingEdit

Topic = SettingEdit.Topic
Show = Callable[[Any], str]


def as_it_is(value: Any) -> str:
    """Return a kept value as it is."""
    return "–" if value in (None, "") else str(value)


def words_of(topic: str, units: str) -> dict[str, tuple[str, Show]]:
    """Return label and look of every field of a topic by its name."""
    return {blank.name: (blank.label, _show(blank)) for blank in _blanks(topic, units)}


def _blanks(topic: str, units: str) -> list[Blank]:
    if topic == Topic.POLICY:
        return policy_blanks(units)
    if topic == Topic.PRICE:
        return [*price_blanks(PER[usual_per(units)]), *bill_blanks()]
    if topic == Topic.KIND:
        return kind_blanks(units)
    if topic == Topic.RULE:
        return rule_blanks()
    if topic == Topic.TOWN:
        return town_blanks()
    return company_blanks() if topic == Topic.COMPANY else []


def _show(blank: Blank) -> Show:
    choices = dict(blank.choices)

    def show(value: Any) -> str:
        if blank.kind == "check":
            return "yes" if value else "no"
        text = blank.show(value) if value is not None or blank.unit else ""
        text = choices.get(text, text)
        return f"{text} {blank.unit}".strip() if text else "–"

    return show
