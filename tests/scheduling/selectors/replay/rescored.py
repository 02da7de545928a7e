"""Score a replay again from its JSON alone, in plain Python: nothing of ours is imported here."""

from math import isclose
from typing import Any

NEAR = 1e-6


def rescored(zone: dict[str, Any]) -> dict[str, float]:
    """Return adequacy, excess, gross and ratio of one zone from its days."""
    days = zone["days"]
    need = sum(day["etl_mm"] for day in days)
    went_without = sum(day["stress"] * day["etl_mm"] for day in days)
    lost = sum(day["drainage_irrigation_mm"] + zone["usable_share"] * day["runoff_mm"] for day in days)
    gross = sum(day["gross_mm"] for day in days)
    return {
        "adequacy": 1.0 - went_without / need,
        "excess": lost / need,
        "gross_mm": gross,
        "ratio": gross / zone["season"]["least_gross_mm"] if zone["season"]["least_gross_mm"] > 0 else 0.0,
    }


def unbalanced(zone: dict[str, Any]) -> list[str]:
    """Return the days whose water doesn't add up or that leave the soil, and what is out of order."""
    wrong, depletion = [], zone["start_depletion_mm"]
    for day in zone["days"]:
        watered = max(depletion - day["net_mm"], 0.0)
        drained = max(day["net_mm"] - depletion, 0.0)
        rained = max(watered - day["rain_credited_mm"], 0.0)
        drained_rain = max(day["rain_credited_mm"] - watered, 0.0)
        share = (zone["taw_mm"] - rained) / (zone["taw_mm"] - zone["raw_mm"])
        et = min(min(1.0, share) * day["etl_mm"], zone["taw_mm"] - rained)
        expected = {
            "rain_credited_mm": 0.8 * day["rain_mm"],
            "drainage_irrigation_mm": drained,
            "drainage_mm": drained + drained_rain,
            "et_mm": et,
            "depletion_mm": rained + et,
        }
        for name, value in expected.items():
            if not isclose(day[name], value, abs_tol=NEAR):
                wrong.append(f"{day['date']}: {name} is {day[name]}, by hand {value}")
        if not isclose(et, (1.0 - day["stress"]) * day["etl_mm"], abs_tol=NEAR):
            wrong.append(f"{day['date']}: stress is {day['stress']}")
        if not -NEAR <= day["depletion_mm"] <= zone["taw_mm"] + NEAR:
            wrong.append(f"{day['date']}: depletion outside the soil")
        depletion = day["depletion_mm"]
    return wrong
