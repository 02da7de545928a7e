"""What was foreseen on a morning: the truth, bent more the further ahead the day lies.

Rain that comes is seen coming or not: once seen, it stays in later forecasts of the same day. False alarms
fade as the day draws near. Amounts come out somewhat high on average, so a source has to earn its credit.
"""

from dataclasses import dataclass, replace

import numpy as np

from weather.providers.invented.noise import Floats, normal, rounded, uniform
from weather.providers.invented.sky import WIND_M_S, Place, Sky, under_cloud

SEEN, FALSE, AMOUNT, WARM, WIND, CHANCE = range(11, 17)


@dataclass(frozen=True, kw_only=True)
class Foreseen:
    """The weather as foreseen, with how likely rain was said to be."""

    sky: Sky
    rain_probability: Floats


def foreseen(truth: Sky, place: Place, *, on: int) -> Foreseen:
    """Return what was foreseen for these days on the morning with the ordinal ``on``."""
    lead = place.ordinal - on
    rain, said = _rain(truth, place, lead=lead, on=on)
    error = (0.5 + 0.33 * lead) * _chance(place, WARM, on=on)
    missed, false = (truth.rain_mm > 0) & (rain == 0), (truth.rain_mm == 0) & (rain > 0)
    cloud = np.where(missed, 0.35 * truth.cloud, np.where(false, np.maximum(truth.cloud, 0.75), truth.cloud))
    wind = truth.wind_2m_m_s * np.exp(0.04 * (1.0 + lead) * _chance(place, WIND, on=on))
    sky = replace(
        truth,
        t_min_c=rounded(truth.t_min_c + 0.7 * error, 1),
        t_max_c=rounded(np.maximum(truth.t_max_c + error, truth.t_min_c + 0.7 * error + 1.0), 1),
        wind_2m_m_s=rounded(wind, 2, within=WIND_M_S),
        solar_radiation_mj_m2=rounded(under_cloud(truth.clear_mj_m2, cloud), 2),
        rain_mm=rain,
        cloud=cloud,
    )
    return Foreseen(sky=sky, rain_probability=said)


def _rain(truth: Sky, place: Place, *, lead: Floats, on: int) -> tuple[Floats, Floats]:
    """Return the rain foreseen [mm] and how likely it was said to be."""
    wet = truth.rain_mm > 0
    # The day's own luck, not the morning's: so forecasts of one day agree with each other as it comes nearer.
    seen = wet & (_luck(place, SEEN) < 0.98 - 0.05 * lead)
    rainy_season = 1.3 - place.summer()
    alarm = ~wet & (_luck(place, FALSE) < (0.008 + 0.006 * lead) * (1.0 + rainy_season))
    spread = _chance(place, AMOUNT, on=on)
    depth = np.where(seen, truth.rain_mm * np.exp(0.12 + (0.15 + 0.06 * lead) * spread), 0.0)
    depth = np.where(alarm, 3.0 * np.exp(0.6 * spread), depth)
    rain = np.where(depth >= 0.3, np.round(depth, 1), 0.0)
    doubt = 0.06 * _luck(place, CHANCE)
    said = np.where(rain > 0, 0.92 - 0.045 * lead - doubt, 0.02 + 0.012 * lead + 0.15 * truth.cloud + doubt)
    return rain, rounded(said, 2, within=(0.0, 1.0))


def _whereabouts(place: Place) -> tuple[Floats, Floats]:
    """Return the region: neighbours are right or wrong together."""
    return np.floor(place.latitude / 1.5), np.floor(place.longitude / 1.5)


def _luck(place: Place, stream: int) -> Floats:
    return uniform(place.seed * 1000 + stream, place.ordinal, *_whereabouts(place))


def _chance(place: Place, stream: int, *, on: int) -> Floats:
    return normal(place.seed * 1000 + stream, on, place.ordinal, *_whereabouts(place))
