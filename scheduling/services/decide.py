"""One morning's decisions for some sites: compute outside transactions, then store in one short one."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from datetime import datetime

import numpy as np

from scheduling.models import Change
from scheduling.selectors.season_load import Loaded
from scheduling.services.coming_days import Coming, coming_days
from scheduling.services.groups import READY, Group, groups_of
from scheduling.services.percent_proposals import percent_proposals
from scheduling.services.proposal import Proposal
from scheduling.services.skips import skip_proposals

SKIP_KINDS = (Change.Kind.RAIN_SKIP.value, Change.Kind.FREEZE_SKIP.value, Change.Kind.WIND_SKIP.value)
ALL_KINDS = (Change.Kind.PERCENT.value, *SKIP_KINDS)


@dataclass
class Decided:
    """What was computed for some sites; nothing is stored yet."""

    groups: list[Group]
    kinds: frozenset[str]
    proposals: dict[tuple[int, str], Proposal] = dataclass_field(default_factory=dict)


def decide(loaded: Loaded, *, now: datetime, kinds: Iterable[str] = ALL_KINDS) -> Decided:
    """Compute the skips and percents of every decision unit of a season."""
    groups = groups_of(loaded.field, policies=loaded.policies)
    coming = coming_days(loaded.field, loaded.balance, groups)
    decided = Decided(groups, frozenset(kinds))
    skips = skip_proposals(coming, loaded.balance, now=now)
    _note(decided, coming, skips)
    if Change.Kind.PERCENT in decided.kinds:
        after_skips = without_night(coming, set(skips))
        _note(decided, coming, percent_proposals(after_skips, loaded.balance))
    return decided


def without_night(coming: Coming, places: set[int]) -> Coming:
    """Return the coming days with the coming night left out for some groups.

    A skip may still be declined, but a percent chosen as if it were taken keeps plants safe either way.
    """
    starts = coming.starts.copy()
    for place in places:
        _, runs = coming.units_and_runs(place)
        starts[1, runs] = 0
    return replace(coming, starts=starts)


def _note(decided: Decided, coming: Coming, found: dict[int, Proposal]) -> None:
    for place, proposal in found.items():
        decided.proposals[coming.groups[place].lead.pk, proposal.kind] = proposal


def ready_count(groups: list[Group]) -> int:
    """Return how many programs were computed."""
    return int(np.sum([len(group.columns) for group in groups if group.state == READY], dtype=int))
