"""Zones into programs: those alike share one, as far as the controller holds enough of them."""

from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np

from fleet.numerics.plants import PLANTS
from scheduling.numerics.grouping import days_of_water, grouped
from scheduling.selectors.plan.asked import Asked, Overrides
from scheduling.selectors.plan.need import Needs

# Zones whose soil lasts more than twice as long as that of others in their program are told. Our own choice;
# below it, sharing costs a few percent over a season.
UNLIKE = 2.0
LAWNS = ("cool_turf", "warm_turf")


@dataclass(frozen=True)
class Group:
    """A program to be: its letter and the places of its zones."""

    letter: str
    places: tuple[int, ...]


@dataclass(frozen=True)
class Grouped:
    """The programs, how many it would take to keep unlike zones apart, and who shares one all the same."""

    groups: list[Group]
    wanted: int
    unlike: list[Group]


def groups_of(asked: Asked, needs: Needs, overrides: Overrides) -> Grouped:
    """Return the programs, the zones that dry first under the first letter."""
    known = ~np.isnan(needs.monthly_mm_day).any(axis=1)
    lasts = days_of_water(needs.survey.raw_mm, needs.monthly_mm_day[known])
    water = needs.mm_day * needs.survey.area_m2
    capacity = max(1, asked.controller.program_capacity)
    free = grouped(lasts, water, most=len(needs.zones))
    wanted = int(free.max()) + 1
    found = free if wanted <= capacity else grouped(lasts, water, most=capacity)
    letters = [ascii_uppercase[group % 26] for group in found.tolist()]
    for place, zone in enumerate(needs.zones):
        wish = overrides.zones.get(zone.number)
        letters[place] = (wish.program if wish and wish.program else None) or letters[place]
    groups = [
        Group(letter, tuple(place for place, one in enumerate(letters) if one == letter))
        for letter in sorted(set(letters))
    ]
    lasting = needs.survey.raw_mm / needs.mm_day
    unlike = [one for one in groups if np.ptp(np.log(lasting[list(one.places)])) > np.log(UNLIKE)]
    return Grouped(groups, wanted, unlike)


def name_of(group: Group, needs: Needs) -> str:
    """Return what grows in a program, for its name."""
    plants = list(dict.fromkeys(needs.zones[place].plant for place in group.places))
    words = list(dict.fromkeys("Lawns" if plant in LAWNS else PLANTS[plant].name for plant in plants))
    return (", ".join([words[0], *(word.lower() for word in words[1:])]))[:80]
