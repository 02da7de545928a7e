"""The programs an alteration touches, as their controller's card will say them once it is entered."""

from collections.abc import Sequence
from dataclasses import replace

from common import clock
from scheduling.models import Change
from scheduling.selectors.altered import altered_box
from scheduling.selectors.card import Card, Keyed, card_of
from scheduling.selectors.held import held_by


def altered_cards(changes: Sequence[Change]) -> dict[int, Card]:
    """Return a card for each of some alterations, in a fixed number of queries; none without any.

    Only the programs it touches are on it, with a second letter they take where the controller cannot cycle
    and soak.
    """
    if not changes:
        return {}
    controllers = {change.program.controller_id: change.program.controller for change in changes}
    nights = {pk: clock.today(box.site.timezone) for pk, box in controllers.items()}
    held = held_by(list(controllers.values()), first=min(nights.values()), last=max(nights.values()))
    cards = {}
    for change in changes:
        controller = controllers[change.program.controller_id]
        night = nights[controller.pk]
        box = altered_box(held.box(controller, night), change.altered)
        whole = card_of(controller, sorted(box.entries, key=lambda e: e.program.letter), night=night)
        letters = set(change.altered.letters)
        own = [one for one in whole.programs if one.letter in letters or one.instead_of in letters]
        cards[change.pk] = replace(whole, programs=own, by_starts=any(_by_starts(one) for one in own))
    return cards


def _by_starts(keyed: Keyed) -> bool:
    return bool(keyed.instead_of) or len(keyed.starts) > len(keyed.program.starts)
