"""How fast daily reference ET is, beside refet on the same data: ``python -m tests.benchmarks.reference_et``.

A site-day is one value. Both get a year of complete weather that is already in memory, in turn, so that
other work on the machine slows both; the best run counts. "With gaps" is ours with a twentieth of the wind
and of the radiation missing, which refet can't fill in. The results are compared before they are timed.
"""

import argparse
import json
from typing import Any

import numpy as np
import refet

from tests.benchmarks.timing import best_of
from tests.weather.numerics.invented_weather import invented_weather
from tests.weather.numerics.other_libraries import for_refet
from weather.numerics.reference_et import daily_reference_et

SITES = (100, 1_000, 10_000)
DAYS = 365


def main() -> None:
    parser = argparse.ArgumentParser(description="Site-days a second of daily reference ET, beside refet.")
    parser.add_argument("--sites", type=int, nargs="+", default=SITES)
    parser.add_argument("--json", action="store_true", help="print one line of JSON instead of a table")
    options = parser.parse_args()
    rows = [measure(sites) for sites in options.sites]
    print(json.dumps(rows) if options.json else table(rows))


def measure(sites: int) -> dict[str, float]:
    weather = invented_weather(sites=sites, days=DAYS)
    weather["wind_2m_m_s"] = np.maximum(weather["wind_2m_m_s"], 0.5)
    torn, theirs = with_gaps(weather), for_refet(weather)
    calls = (
        lambda: daily_reference_et(**weather)[0],
        lambda: refet.Daily(**theirs).eto(),
        lambda: daily_reference_et(**torn)[0],
    )
    apart = float(np.abs(calls[0]() - np.maximum(calls[1](), 0.0)).max())
    if not apart < 0.001:
        raise SystemExit(f"ours and refet are {apart:.4f} mm apart")
    rounds = min(50, max(5, 50_000 // sites))
    took = np.min([[best_of(call, times=1) for call in calls] for _ in range(rounds)], axis=0)
    ours, other, torn_speed = sites * DAYS / took
    return {
        "sites": sites,
        "ours_per_s": ours,
        "refet_per_s": other,
        "ratio": ours / other,
        "with_gaps_ratio": torn_speed / other,
    }


def with_gaps(weather: dict[str, Any]) -> dict[str, Any]:
    draw = np.random.default_rng(1)
    names = ("wind_2m_m_s", "solar_radiation_mj_m2")
    return weather | {
        name: np.where(draw.random(weather[name].shape) < 0.05, np.nan, weather[name]) for name in names
    }


def table(rows: list[dict[str, float]]) -> str:
    lines = [
        f"{'sites':>7} {'ours, site-days/s':>18} {'refet, site-days/s':>19} {'ratio':>6} {'with gaps':>10}"
    ]
    lines += [
        f"{row['sites']:>7,} {row['ours_per_s']:>18,.0f} {row['refet_per_s']:>19,.0f}"
        f" {row['ratio']:>6.1f} {row['with_gaps_ratio']:>10.1f}"
        for row in rows
    ]
    more = rows[-1]["sites"] / rows[0]["sites"]
    longer = more * rows[0]["ours_per_s"] / rows[-1]["ours_per_s"]
    return "\n".join([*lines, f"{more:,.0f} times the sites take {longer:,.0f} times as long."])


if __name__ == "__main__":
    main()
