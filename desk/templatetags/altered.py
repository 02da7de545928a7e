"""Alterations of programs in templates."""

from typing import Any

from django import template

from desk import figures
from desk.altered_words import Pieces, altered_line, pieces_of
from desk.cards import card_words
from scheduling.models import Change
from scheduling.selectors.advice_list import STANDING
from scheduling.selectors.card import Card

register = template.Library()


@register.simple_tag
def standing_statuses() -> tuple[str, ...]:
    """Return the statuses in which a change stands for the advice it came from."""
    return STANDING


@register.filter
def altered(change: Change, units: str) -> str:
    """Return what an alteration keys in, in one short line."""
    return altered_line(change, units)


@register.filter
def effect_words(change: Change, units: str) -> str:
    """Return what a change does to the coming week's water, and where it does nothing to it, what it does."""
    water = figures.water(change.effect_litres, units, signed=True)
    if water.startswith("±") and change.is_alteration and change.altered.only_splits:
        return "same water, less runs off"
    return water


@register.simple_tag
def altered_pieces(change: Change, units: str, card: Card | str = "") -> list[Pieces]:
    """Return what differs, program by program, fit for the controller of the card."""
    return pieces_of(change.altered, units, by_starts=isinstance(card, Card) and card.by_starts)


@register.filter
def in_card_words(card: Card, units: str) -> dict[str, Any]:
    """Return what a card says."""
    return card_words(card, units=units)
