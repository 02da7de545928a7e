"""A season of many sites as one: every zone and decision with its site, and the sums over all of them."""

from dataclasses import dataclass
from typing import Any, Final

from scheduling.selectors.replay.as_json import DEFINITIONS

Json = dict[str, Any]
ADDED: Final = ("gross_mm", "least_gross_mm", "gross_l", "least_gross_l")


@dataclass(frozen=True)
class SiteTold:
    """One site's season as ``replay_as_json`` tells it, ``taken_wrong`` in it."""

    pk: int
    name: str
    told: Json


def fleet_as_json(sites: list[SiteTold], *, left_out: list[Json]) -> Json:
    """Return the seasons of one or more sites, over the same days, as one."""
    first = sites[0].told
    return {
        "from": first["from"],
        "to": first["to"],
        "zones": [{"site": one.pk, **zone} for one in sites for zone in one.told["zones"]],
        "decisions": [{"site": one.pk, **made} for one in sites for made in one.told["decisions"]],
        "landscape": _whole([one.told["landscape"] for one in sites]),
        "beside": {way: _whole([one.told["beside"][way] for one in sites]) for way in ("at_100", "monthly")},
        "sites": [_site(one) for one in sites],
        "left_out": left_out,
        "definitions": DEFINITIONS,
    }


def _site(one: SiteTold) -> Json:
    told = {name: one.told[name] for name in ("landscape", "notes", "taken_wrong")}
    return {"id": one.pk, "name": one.name, **told}


def _whole(parts: list[Json]) -> Json:
    total = {name: sum(part[name] for part in parts) for name in ADDED}
    return {
        "worst_adequacy": min(part["worst_adequacy"] for part in parts),
        "worst_excess": max(part["worst_excess"] for part in parts),
        **total,
        "ratio": _ratio(total["gross_mm"], total["least_gross_mm"]),
        "ratio_by_volume": _ratio(total["gross_l"], total["least_gross_l"]),
    }


def _ratio(given: float, least: float) -> float | None:
    return given / least if least > 0 else None


def fleet_table(told: Json) -> list[str]:
    """Return a line a site, and the sums beside what other ways would have come to."""
    lines = [f"{told['from']} to {told['to']}, {len(told['sites'])} sites, {len(told['zones'])} zones"]
    lines.append(f"{'':32}{'adequacy':>9}{'excess':>9}{'m3 given':>10}{'least m3':>10}{'ratio':>7}")
    rows = [(one["name"], one["landscape"]) for one in told["sites"]]
    rows += [("decided each morning", told["landscape"]), ("left at 100 %", told["beside"]["at_100"])]
    rows.append(("monthly percents", told["beside"]["monthly"]))
    least = told["landscape"]["least_gross_l"]
    for n, (name, sums) in enumerate(rows):
        own = sums["least_gross_l"] if n < len(told["sites"]) else least
        ratio = _ratio(sums["gross_l"], own)
        lines.append(
            f"{name[:31]:32}{sums['worst_adequacy']:>9.2%}{sums['worst_excess']:>9.2%}"
            f"{sums['gross_l'] / 1000:>10.1f}{own / 1000:>10.1f}{'-' if ratio is None else f'{ratio:.2f}':>7}"
        )
    return [*lines, *(f"{one['name']} is left out: {one['reason']}" for one in told["left_out"])]
