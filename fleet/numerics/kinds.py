"""Kinds of zones a company begins with: combinations met at most properties, every value from our own tables.

Which kinds are common is common practice, no source; what each value rests on stands in the tables of plants,
heads, soils and sun. A kind's soil, sun and slope are only likely, and are marked so where they are used.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of zone by the keys of the tables; slope [percent], wetted share of the ground [-]."""

    name: str
    plant: str
    head: str
    soil: str = "loam"
    sun: str = "full"
    slope_percent: float = 1.0
    wetted_share: float = 1.0


KINDS: tuple[Kind, ...] = (
    Kind("Lawn, pop-up sprays, loam, flat", "cool_turf", "spray"),
    Kind("Lawn, rotors, loam, flat", "cool_turf", "rotor"),
    Kind("Lawn, rotary nozzles, loam, flat", "cool_turf", "rotary_nozzle"),
    Kind("Lawn, pop-up sprays, clay loam, on a slope", "cool_turf", "spray", "clay_loam", slope_percent=8.0),
    Kind("Lawn in part shade, pop-up sprays, loam, flat", "cool_turf", "spray", sun="part_shade"),
    Kind("Lawn of a warm-season grass, rotors, loam, flat", "warm_turf", "rotor"),
    Kind("Shrubs, drip, loam, flat", "shrubs", "drip", wetted_share=0.5),
    Kind("Shrubs, sprays, loam, flat", "shrubs", "spray"),
    Kind("Ground cover, sprays, loam, on a slope", "ground_cover", "spray", slope_percent=10.0),
    Kind("Flower bed, micro-sprays, loam, flat", "flowers", "micro_spray"),
    Kind("Vegetables, drip, loam, flat", "vegetables", "drip", wetted_share=0.7),
    Kind("Trees, bubblers, loam, flat", "trees", "bubbler", wetted_share=0.4),
    Kind("Native planting, drip, sandy loam, flat", "native", "drip", "sandy_loam", wetted_share=0.4),
)
