"""What a plan would make of each controller of a draft, tried without writing anything."""

from dataclasses import dataclass, field
from datetime import date

from common.errors import BluestemError
from desk.plan_words import shown, usual_words
from desk.set_up.snags import snags
from desk.set_up.whole import Whole
from fleet.selectors.people import may_set_up
from scheduling.selectors.plan import Plan
from scheduling.selectors.usual_year import OWN, UsualYear
from scheduling.services.set_up import would_plan


@dataclass
class PlannedBox:
    """A controller with its plan, or with why there is none."""

    key: str
    name: str
    begins: date
    used: bool
    plan: Plan | None = None
    stops: list[str] = field(default_factory=list)


@dataclass
class PlannedSite:
    """All controllers, and what stands in the way of planning at all."""

    boxes: list[PlannedBox]
    why_not: str = ""
    usual: UsualYear | None = None
    usual_words: str = ""

    @property
    def own_weather(self) -> bool:
        """Tell whether it rests on what its own place knows, so that nothing is to be fetched or typed."""
        return self.usual is not None and self.usual.of == OWN


def planned(whole: Whole, *, work: bool) -> PlannedSite:
    """Return the plans of a draft; without ``work`` only what was chosen."""
    used = whole.texts("plan")
    boxes = [
        PlannedBox(box.key, box.name, whole.plan_from(box), bool(used.get(f"use-{box.key}")))
        for box in whole.boxes
    ]
    site = PlannedSite(boxes)
    if not work:
        return site
    if not may_set_up(whole.user, whole.draft.company_id):
        site.why_not = "The owner or the office plans, once the zones are written down."
    elif snags(whole):
        site.why_not = "Something is to mend before a plan can be made; see the step Check."
    else:
        _plan(whole, site)
    return site


def _plan(whole: Whole, site: PlannedSite) -> None:
    try:
        night = min(box.begins for box in site.boxes)
        plans = would_plan(draft=whole.draft, by=whole.user, said=whole.said, night=night)
    except BluestemError as error:
        site.why_not = error.message
        return
    for box in site.boxes:
        made = plans.get(box.key)
        if made is not None:
            box.plan, site.usual = made.plan, made.usual
        box.stops = [shown(stop.reason, whole.units) for stop in box.plan.stops] if box.plan else []
    site.usual_words = usual_words(site.usual, whole.units) if site.usual else ""
