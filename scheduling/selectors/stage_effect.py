"""What a town's stage does: which programs at its sites keep to it in the nights from its first on."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import Controller, Site, Town, User, WateringRule
from fleet.selectors.site_rule import at_stage, needs_an_address, rule_of, side_of
from scheduling.selectors.rule_effect import AGAINST, Breach, Nights, nights_of


@dataclass(frozen=True)
class StageEffect:
    """A stage against what the controllers of a town's open sites hold, seven nights from ``since`` on.

    ``now`` are the programs against the rule in force anyway, ``then`` those against the stage; ``less`` the
    open sites it asks to save water at; ``unknown`` those whose house number would be needed.
    """

    stage: int
    since: date
    nights: Nights
    now: Sequence[Breach]
    then: Sequence[Breach]
    less: Sequence[Site]
    unknown: Sequence[Site]

    @property
    def sites(self) -> int:
        """Return how many sites no longer comply."""
        return len({breach.program.controller.site_id for breach in self.then})

    @property
    def by_limit(self) -> list[tuple[str, int]]:
        """Return how many programs break what."""
        return [(what, count) for what in AGAINST if (count := sum(what in one.against for one in self.then))]


def stage_effect(user: User, town: Town, *, stage: int, since: date) -> StageEffect:
    """Return what a stage would do from a night on, nothing saved; nine queries at the most."""
    nights = nights_of(Controller.objects.visible_to(user).filter(site__town=town), first=since)
    sites = {box.controller.site_id: box.controller.site for _, held in nights.held[:1] for box in held}

    def then(site: Site, night: date) -> WateringRule | None:
        return at_stage(site, stage, night)

    held = {pk: at_stage(site, stage, since) for pk, site in sites.items()}
    hang_on_it = any(rule.addresses != "any" or needs_an_address(rule) for rule in _of_stage(sites, stage))
    return StageEffect(
        stage=stage,
        since=since,
        nights=nights,
        now=nights.breaking(rule_of),
        then=nights.breaking(then),
        less=[sites[pk] for pk, rule in held.items() if rule is not None and rule.less_percent],
        unknown=[site for site in sites.values() if hang_on_it and not side_of(site)],
    )


def not_complying(
    user: User, town: Town, *, since: date, among: Collection[int] | None = None
) -> list[tuple[Controller, list[Breach]]]:
    """Return the controllers of a town whose programs break the rule in force from a night on.

    ``among`` some alone, by their numbers: then only the sites of these are looked at, whole.
    """
    controllers = Controller.objects.visible_to(user).filter(site__town=town)
    if among is not None:
        sites = controllers.filter(pk__in=among).values("site")
        controllers = controllers.filter(site__in=sites)
    found = by_controller(nights_of(controllers, first=since).breaking(rule_of))
    return found if among is None else [one for one in found if one[0].pk in among]


def by_controller(breaches: Sequence[Breach]) -> list[tuple[Controller, list[Breach]]]:
    """Return breaches by the controller they happen at."""
    found: dict[Controller, list[Breach]] = defaultdict(list)
    for breach in breaches:
        found[breach.program.controller].append(breach)
    return list(found.items())


def _of_stage(sites: dict[int, Site], stage: int) -> list[WateringRule]:
    site = next(iter(sites.values()), None)
    return [r for r in site.town.rules.all() if r.stage == stage] if site and site.town else []
