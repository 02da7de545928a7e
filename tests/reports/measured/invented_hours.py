"""Clean data of an invented site's meter, by the hour or quarter: nothing broken, nothing exact."""

from dataclasses import dataclass

import numpy as np

DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Hours:
    """Arrays as ``use_alerts`` wants them."""

    used_l: np.ndarray
    expected_l: np.ndarray
    due: np.ndarray
    day: np.ndarray
    night: np.ndarray
    days: int


def clean_hours(seed: int, *, days: int = 14, known_to: float = 0.10, bin_min: int = 0) -> Hours:
    """Return a site of 3 to 8 zones watered every second or third night, some hours after the others.

    Meters count by the hour where the seed is even, by the quarter where it is odd, unless said.

    Each zone's flow is known to ``known_to`` (one standard deviation), pressure varies by 3 % a night, the
    controller's clock is up to five minutes off, the meter counts in tens of litres, and now and then
    somebody uses a hose or tests a zone for two minutes.
    """
    rng = np.random.default_rng(seed)
    zones, every = int(rng.integers(3, 9)), int(rng.integers(2, 4))
    flow, minutes = rng.uniform(15, 60, zones), rng.uniform(8, 45, zones)
    real = flow * np.clip(1 + rng.normal(0, known_to, zones), 0.5, 1.5)
    begin, late = rng.uniform(1, 4) * 60, rng.uniform(-5, 5)
    width = bin_min or (15 if seed % 2 else 60)
    count, a_day = days * DAY_MIN // width, DAY_MIN // width
    edges = np.arange(count + 1) * float(width)
    used, expected, due = np.zeros(count), np.zeros((count, zones)), np.zeros(count, dtype=bool)
    for day in range(0, days, every):
        pressure, at = 1 + rng.normal(0, 0.03), day * 24 * 60 + begin
        for zone in range(zones):
            for shift, rate, into in (
                (0.0, flow[zone], expected[:, zone]),
                (late, real[zone] * pressure, used),
            ):
                stop = np.minimum(edges[1:], at + shift + minutes[zone])
                into += rate * np.clip(stop - np.maximum(edges[:-1], at + shift), 0, None)
            due |= (edges[1:] > at - 45) & (edges[:-1] < at + minutes[zone] + 45)
            at += minutes[zone] + (150 if zone % 3 == 2 else 0)
    for day in np.flatnonzero(rng.random(days) < 0.15).tolist():
        used[(day * 24 + int(rng.integers(9, 19))) * 60 // width] += rng.uniform(10, 90)
    counted = np.diff(np.floor(np.concatenate([[0.0], used.cumsum()]) / 10.0)) * 10.0
    place = np.arange(count)
    return Hours(counted, expected, due, place // a_day, (place + a_day // 2) // a_day, days)
