"""The clients' water as a list: which, in which order, and what all of them come to."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reports.selectors.by_client.measured import added
from reports.selectors.by_client.rows import Line, Water
from reports.selectors.summary.states import DRY_BELOW

KEYS: dict[str, Callable[[Line], float | None]] = {
    "saved": lambda line: line.water.saved_l,
    "measured": lambda line: line.water.measured.saved_l if line.water.measured else None,
    "used": lambda line: line.water.applied_l,
    "budget": lambda line: line.water.of_budget,
    "metered": lambda line: line.water.metered_l,
    "meteredbudget": lambda line: line.water.metered_of_budget,
    "need": lambda line: line.water.adequacy,
    "unexplained": lambda line: line.water.unexplained_l,
}
SORTS = ("client", *KEYS)
ONLY: dict[str, Callable[[Water], bool]] = {
    "over": lambda water: (water.of_budget or 0.0) > 1.0 or (water.metered_of_budget or 0.0) > 1.0,
    "dry": lambda water: water.adequacy is not None and water.adequacy < DRY_BELOW,
    "alert": lambda water: water.alerts > 0,
    "metered": lambda water: water.metered_l is not None,
}


@dataclass(frozen=True)
class Totals:
    """What many clients come to, estimated and measured each for itself, with how many are in each figure."""

    water: Water
    clients: int
    saving: int
    metered: int
    measured: int


def narrowed(lines: Sequence[Line], only: str) -> list[Line]:
    """Keep the lines a choice asks for; without one all."""
    return [line for line in lines if not only or ONLY[only](line.water)]


def in_order(lines: Sequence[Line], sort: str, *, down: bool) -> list[Line]:
    """Sort lines by one figure, then by name. Who has no figure comes last either way."""
    by_name = sorted(lines, key=lambda line: (line.client.name.lower(), line.client.pk))
    if sort == "client":
        return by_name[::-1] if down else by_name
    key = KEYS[sort]
    told = [(key(line), line) for line in by_name]
    known = [(figure, line) for figure, line in told if figure is not None]
    known.sort(key=lambda one: -one[0] if down else one[0])
    return [line for _, line in known] + [line for figure, line in told if figure is None]


def worst_first(lines: Sequence[Line], most: int) -> list[Line]:
    """Return the clients who used most of their budget, by meters where those tell it."""

    def share(line: Line) -> float:
        return max(line.water.of_budget or 0.0, line.water.metered_of_budget or 0.0)

    found = [line for line in lines if share(line) > 0.0]
    return sorted(found, key=lambda line: (-share(line), line.client.name.lower(), line.client.pk))[:most]


def totals_of(lines: Sequence[Line]) -> Totals:
    """Add up lines; a budget is told only where it is known for each client that counts."""
    waters = [line.water for line in lines]
    counted = [water for water in waters if water.applied_l is not None]
    metered = [water for water in waters if water.metered_l is not None]
    measured = [water.measured for water in waters if water.measured is not None]
    budgets = all(water.budget_l is not None for water in counted)
    compared = [water for water in waters if water.compared_days]
    own_budgets = compared and all(water.compared_budget_l is not None for water in compared)
    whole = Water(
        applied_l=sum(water.applied_l or 0.0 for water in counted) if counted else None,
        baseline_l=sum(water.baseline_l or 0.0 for water in counted) if counted else None,
        saved_l=sum(water.saved_l or 0.0 for water in counted) if counted else None,
        need_l=sum(water.need_l for water in counted),
        short_l=sum(water.short_l for water in counted),
        budget_l=sum(water.budget_l or 0.0 for water in counted) if counted and budgets else None,
        metered_l=sum(water.metered_l or 0.0 for water in metered) if metered else None,
        metered_days=sum(water.metered_days for water in metered),
        days=sum(water.days for water in metered),
        mixed=any(water.mixed for water in metered),
        compared_days=sum(water.compared_days for water in compared),
        compared_l=sum(water.compared_l for water in compared),
        explained_l=sum(water.explained_l for water in compared),
        compared_budget_l=sum(water.compared_budget_l or 0.0 for water in compared) if own_budgets else None,
        measured=added(measured),
        alerts=sum(water.alerts for water in waters),
        alerts_l=sum(water.alerts_l for water in waters),
    )
    return Totals(whole, len(lines), len(counted), len(metered), len(measured))
