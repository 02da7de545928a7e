"""What a policy would do with the changes that wait, counted on their rows."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from fleet.models import Policy, User
from fleet.selectors.policies import PolicyInForce
from scheduling.delivery import channel_named
from scheduling.models import Change

DRY = 2  # the level of risk at which a trip is always worth it


def passes_by_itself(change: Change, policy: PolicyInForce) -> bool:
    """Tell whether a new change is approved without anybody."""
    if change.is_skip:
        return policy.auto_skips and not change.is_wish
    if not change.is_percent:
        return False  # what programs hold is never altered by itself
    return 0 < abs((change.proposed or 0) - (change.current or 0)) <= policy.auto_move_points


@dataclass(frozen=True)
class Effect:
    """Counts of the changes that wait under one policy; the fields are named as the policy's."""

    waiting: int
    skips: int
    by_themselves: int
    auto_skips: int
    auto_move_points: int
    percent_min: int
    percent_max: int
    dead_band_points: int
    visit_worth_l: int


class Waiting:
    """A company's waiting changes and its clients' own policies, read once, counted under any policy."""

    def __init__(self, user: User, company_id: int) -> None:
        waiting = Change.objects.visible_to(user).of_company(company_id).filter(status=Change.Status.PENDING)
        self.changes = list(
            waiting.select_related("program__controller__site").defer("inputs", "hints").order_by("pk")
        )
        own = Policy.objects.visible_to(user).of_company(company_id).filter(client__isnull=False)
        self.own: Mapping[int, Policy] = {row.client_id or 0: row for row in own}

    def under(self, policy: PolicyInForce) -> Effect:
        """Count what the policy would do."""
        held = [(c, policy.overridden_by(self.own.get(_client_of(c))).in_order()) for c in self.changes]
        percents = [(c, p) for c, p in held if c.is_percent]

        def count(rows: list[tuple[Change, PolicyInForce]], test: Callable[..., bool]) -> int:
            return sum(test(change, policy) for change, policy in rows)

        return Effect(
            waiting=len(held),
            skips=count(held, lambda c, p: c.is_skip),
            by_themselves=count(held, passes_by_itself),
            auto_skips=count(held, lambda c, p: c.is_skip and passes_by_itself(c, p)),
            auto_move_points=count(percents, passes_by_itself),
            percent_min=count(percents, lambda c, p: c.proposed < p.percent_min),
            percent_max=count(percents, lambda c, p: c.proposed > p.percent_max),
            dead_band_points=count(percents, lambda c, p: abs(c.proposed - c.current) < p.dead_band_points),
            visit_worth_l=count(percents, _not_worth_a_trip),
        )


def _client_of(change: Change) -> int:
    return change.program.controller.site.client_id


def _not_worth_a_trip(change: Change, policy: PolicyInForce) -> bool:
    """Tell whether a change that takes a drive of its own saves or gives too little for one."""
    if not channel_named(change.program.controller.delivery).needs_visit:
        return False
    return abs(change.effect_litres or 0.0) < policy.visit_worth_l and change.risk_keep_level < DRY
