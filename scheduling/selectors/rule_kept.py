"""What an alteration would break of a watering rule that isn't broken now."""

from collections.abc import Sequence
from dataclasses import replace

from fleet.models import Controller
from fleet.selectors.site_rule import rule_of
from scheduling.models.detail import Detail
from scheduling.selectors.altered import altered_box
from scheduling.selectors.rule_effect import Nights

Broken = frozenset[tuple[int, str, str]]


def broken(nights: Nights) -> Broken:
    """Return what is broken in some nights: controller, letter and words of each."""
    return frozenset(
        (breach.program.controller_id, breach.program.letter, what)
        for breach in nights.breaking(rule_of)
        for what in breach.against
    )


def after(nights: Nights, controller: Controller, detail: Detail) -> Nights:
    """Return the nights as they would be."""
    held = [
        (night, [altered_box(box, detail) if box.controller.pk == controller.pk else box for box in boxes])
        for night, boxes in nights.held
    ]
    return replace(nights, held=held)


def newly_broken(nights: Nights, controller: Controller, detail: Detail) -> Sequence[str]:
    """Return what would be broken that isn't now, in words, each once."""
    now = broken(nights)
    return sorted({what for *_, what in broken(after(nights, controller, detail)) - now})
