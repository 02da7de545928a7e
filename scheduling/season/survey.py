"""Turn surveyed zones into arrays; a zone with something missing is named, never guessed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fleet.models import Zone
from fleet.numerics.heads import HEADS, ground_share
from fleet.numerics.landscape_coefficient import landscape_coefficient
from fleet.numerics.plants import PLANTS
from fleet.numerics.soils import SOILS, allowable_accumulation
from fleet.numerics.sun import SUNS
from scheduling.numerics.gross_to_net import Application, usable_share
from scheduling.numerics.soil_water import readily_available_water, total_available_water

Floats = NDArray[np.float64]

NEEDED = (
    ("plant", "plant"),
    ("head", "head"),
    ("soil", "soil"),
    ("sun", "sun"),
    ("slope_percent", "slope"),
    ("area_m2", "area"),
    ("root_depth_mm", "root depth"),
    ("uniformity", "uniformity"),
)
KNOWN: dict[str, Mapping[str, object]] = {"plant": PLANTS, "head": HEADS, "soil": SOILS, "sun": SUNS}


def missing_of(zone: Zone) -> list[str]:
    """Return what the survey of a zone lacks, in plain words; empty if nothing."""
    missing = [
        word
        for field, word in NEEDED
        if (getattr(zone, field) in (None, ""))
        or (field in KNOWN and getattr(zone, field) not in KNOWN[field])
    ]
    if rate_of(zone) is None:
        missing.append("precipitation rate, or flow and area")
    return missing


def rate_of(zone: Zone) -> float | None:
    """Return the precipitation rate, from flow and area where no rate is given. [mm/h]"""
    if zone.precipitation_rate_mm_h:
        return zone.precipitation_rate_mm_h
    if zone.flow_l_min and zone.area_m2:
        return 60.0 * zone.flow_l_min / zone.area_m2
    return None


def assumed_of(zone: Zone) -> list[str]:
    """Return the fields of a zone whose value is an assumption or has no basis noted."""
    weighty = ("soil", "uniformity", "precipitation_rate_mm_h", "root_depth_mm", "area_m2", "sun")
    words = {"precipitation_rate_mm_h": "rate", "root_depth_mm": "root depth", "area_m2": "area"}
    return [words.get(f, f) for f in weighty if zone.basis.get(f, "assumed") == "assumed"]


@dataclass(frozen=True)
class Survey:
    """One value a zone unless said otherwise; depths in mm, rates in mm/h, areas in m2."""

    kl: Floats  # (12, zones)
    taw_mm: Floats
    raw_mm: Floats
    area_m2: Floats
    application: Application
    overhead: NDArray[np.bool_]


def survey_arrays(zones: Sequence[Zone], *, southern: Sequence[bool], boundary: Sequence[float]) -> Survey:
    """Return the arrays of zones that lack nothing.

    Parameters
    ----------
    zones
        Complete zones, see ``missing_of``.
    southern
        Whether each lies south of the equator.
    boundary
        Share of the extra water for uneven heads that each is given, 0 to 1.
    """
    soils = [zone.soil for zone in zones]
    heads = [zone.head for zone in zones]
    cans = [zone.basis.get("precipitation_rate_mm_h") == "measured" for zone in zones]
    taw = total_available_water(
        _of(SOILS[s].capacity.value for s in soils),
        _of(zone.root_depth_mm for zone in zones),
        wetted_share=_of(zone.wetted_share for zone in zones),
    )
    return Survey(
        kl=landscape_coefficient(
            [zone.plant for zone in zones],
            microclimate=_of(SUNS[zone.sun].microclimate.value for zone in zones),
            southern=np.array(southern, dtype=bool),
        ),
        taw_mm=taw,
        raw_mm=readily_available_water(taw, _of(SOILS[s].depletion.value for s in soils)),
        area_m2=_of(zone.area_m2 for zone in zones),
        application=Application(
            rate_mm_h=_of(rate_of(zone) for zone in zones),
            ground_share=ground_share(heads, caught_in_cans=np.array(cans, dtype=bool)),
            usable_share=usable_share(_of(zone.uniformity for zone in zones), boundary=_of(boundary)),
            intake_mm_h=_of(SOILS[s].intake_mm_h.value for s in soils),
            accumulation_mm=allowable_accumulation(soils, _of(zone.slope_percent for zone in zones)),
        ),
        overhead=np.array([HEADS[h].overhead for h in heads], dtype=bool),
    )


def _of(values: object) -> Floats:
    return np.array(list(values), dtype=np.float64)  # type: ignore[call-overload]
