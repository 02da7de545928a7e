"""Advice on a site's controllers: what would save water or plants, computed from what is entered there.

look.py     one site read once            found.py    what a line of advice holds
shares.py   a zone among unlike ones      drives.py   one zone that drives a program
days.py     too few days for the soil     runs.py     runs longer than the soil takes
hours.py    nights outside the rule       evenness.py what even heads would be worth
"""

from collections.abc import Callable, Iterator
from datetime import date

from fleet.models import Site
from scheduling.selectors.advice.days import too_few_days
from scheduling.selectors.advice.drives import drives_a_program
from scheduling.selectors.advice.evenness import worth_of_even_heads
from scheduling.selectors.advice.found import WEEKS_A_YEAR, Found
from scheduling.selectors.advice.hours import outside_the_rule
from scheduling.selectors.advice.look import Look, look_at
from scheduling.selectors.advice.runs import longer_than_the_soil_takes
from scheduling.selectors.advice.shares import among_unlike_zones

__all__ = ["KINDS", "WEEKS_A_YEAR", "Found", "advice_for", "advice_in"]
KINDS: dict[str, Callable[[Look], Iterator[Found]]] = {
    "unlike zones": among_unlike_zones,
    "one zone drives": drives_a_program,
    "too few days": too_few_days,
    "runoff": longer_than_the_soil_takes,
    "outside the rule": outside_the_rule,
    "uneven heads": worth_of_even_heads,
}


def advice_for(site: Site, *, on: date) -> list[Found]:
    """Return every advice on a site's controllers, in a fixed number of queries.

    Parameters
    ----------
    site
        With its client and company, rule, town, tariff and cell.
    on
        Business day; the coming night and week are looked at.
    """
    look = look_at(site, on=on)
    return [] if look is None else advice_in(look)


def advice_in(look: Look) -> list[Found]:
    """Return every advice on a site that was read."""
    return [found for kind in KINDS.values() for found in kind(look)]
