"""What a zone's flow, slope and rate ask of pipe, supply and ground, where that is too much."""

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from fleet.models import Zone
from fleet.numerics.heads import HEADS, ground_share
from fleet.numerics.hydraulics import HIGHEST_VELOCITY_M_S, INSIDE_MM, flow_at_velocity, velocity_m_s
from fleet.numerics.soils import SOILS, allowable_accumulation
from scheduling.numerics.gross_to_net import LEAST_CYCLE_MIN, longest_cycle_min
from scheduling.season.survey import rate_of

# California's model ordinance, 23 CCR 492.7: no faster system on slopes over 25 % (from memory).
STEEP_PERCENT, FASTEST_ON_STEEP_MM_H = 25.0, 0.75 * 25.4


@dataclass(frozen=True)
class TooMuch:
    """One thing that is too much: ``kind`` says what, ``has`` how much there is, ``most`` how much may be.

    Kinds are ``velocity`` (m/s, with the flow that would do in L/min), ``main velocity`` (the same of the
    main pipe), ``supply`` (L/min), ``sharing`` (L/min of all controllers at once), ``short cycle`` (min) and
    ``steep`` (mm/h).
    """

    kind: str
    has: float
    most: float
    pipe: str = ""
    flow_l_min: float = 0.0
    names: list[str] = field(default_factory=list)


def too_much(zone: Zone) -> list[TooMuch]:
    """Return what is too much about a zone whose controller and source are at hand; one query at most."""
    return [*_by_flow(zone), *_by_ground(zone)]


def _by_flow(zone: Zone) -> list[TooMuch]:
    flow, source = zone.flow_l_min, zone.controller.source
    if not flow:
        return []
    found = [_too_fast("velocity", zone.pipe, flow)]
    if source is not None:
        found += [_too_fast("main velocity", source.pipe, flow), *_supply(zone, flow)]
    return [one for one in found if one is not None]


def _too_fast(kind: str, pipe: str, flow: float) -> TooMuch | None:
    if pipe not in INSIDE_MM:
        return None
    speed = float(velocity_m_s(flow, INSIDE_MM[pipe]))
    if speed <= HIGHEST_VELOCITY_M_S + 1e-9:
        return None
    may = float(flow_at_velocity(INSIDE_MM[pipe]))
    return TooMuch(kind, speed, HIGHEST_VELOCITY_M_S, pipe=pipe, flow_l_min=may)


def _supply(zone: Zone, flow: float) -> list[TooMuch]:
    """Return whether the supply gives what runs at once, here and at all controllers that share it."""
    source = zone.controller.source
    if source is None or not source.flow_l_min:
        return []
    most = source.flow_l_min
    if flow > most + 1e-9:
        return [TooMuch("supply", flow, most, names=[source.name])]
    rows = Zone.objects.filter(controller__source=source, flow_l_min__gt=0).values_list(
        "controller_id", "controller__name", "controller__zones_at_once", "flow_l_min"
    )
    flows: dict[int, list[float]] = defaultdict(list)
    at_once: dict[int, int] = {}
    names: dict[int, str] = {}
    for pk, name, count, one in rows:
        flows[pk].append(one or 0.0)
        at_once[pk], names[pk] = count, name
    largest = {pk: sum(sorted(own, reverse=True)[: at_once[pk]]) for pk, own in flows.items()}
    here = largest.get(zone.controller_id, flow)
    if here > most + 1e-9:
        return [TooMuch("supply", here, most, names=[source.name])]
    together = sum(largest.values())
    if len(largest) > 1 and together > most + 1e-9:
        return [TooMuch("sharing", together, most, names=[source.name, *names.values()])]
    return []


def _by_ground(zone: Zone) -> list[TooMuch]:
    rate, slope = rate_of(zone), zone.slope_percent
    if rate is None or slope is None:
        return []
    found = []
    if slope > STEEP_PERCENT and rate > FASTEST_ON_STEEP_MM_H + 1e-9:
        found.append(TooMuch("steep", rate, FASTEST_ON_STEEP_MM_H))
    if zone.soil in SOILS and zone.head in HEADS:
        cans = zone.basis.get("precipitation_rate_mm_h") == "measured"
        longest = float(
            longest_cycle_min(
                rate,
                intake_mm_h=SOILS[zone.soil].intake_mm_h.value,
                accumulation_mm=allowable_accumulation([zone.soil], np.array([slope]))[0],
                ground_share=ground_share([zone.head], caught_in_cans=cans)[0],
            )
        )
        if longest < LEAST_CYCLE_MIN:
            found.append(TooMuch("short cycle", longest, LEAST_CYCLE_MIN))
    return found
