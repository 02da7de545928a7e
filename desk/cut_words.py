"""What a town's stage holds back, in plain words."""

from collections.abc import Iterable

from scheduling.selectors.cuts import PlantsHeld

COUNTED = (
    "Trees come before shrubs, lawns last. Need, percents and plans are counted with that, and the water it "
    "keeps back counts as saved."
)


def held_lines(held: Iterable[PlantsHeld]) -> list[str]:
    """Return a line for each reason, with the plants it holds."""
    by_reason: dict[str, list[PlantsHeld]] = {}
    for one in held:
        by_reason.setdefault(one.reason, []).append(one)
    return [f"{reason}. {_plants(own)}. {COUNTED}" for reason, own in by_reason.items()]


def _plants(held: list[PlantsHeld]) -> str:
    first, *rest = [_one(one) for one in held]
    return "; ".join([first[:1].upper() + first[1:], *rest])


def _one(held: PlantsHeld) -> str:
    zones = "1 zone" if held.zones == 1 else f"{held.zones} zones"
    return f"{held.plants.lower()} ({zones}) held at {held.percent}\u00a0% of the need"
