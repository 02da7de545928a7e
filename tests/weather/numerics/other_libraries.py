"""The general-purpose libraries refet and pyet, called with our arguments."""

from typing import Any

import numpy as np
import pandas as pd
import pyet
import refet
import xarray
from numpy.typing import NDArray

Weather = dict[str, NDArray[np.float64]]


def by_refet(weather: Weather, *, surface: str = "short") -> NDArray[np.float64]:
    """Reference ET by refet.

    refet brings wind measured at 2 m "down to 2 m" as well, by a factor of 1.00023. So it gets the wind of
    10 m that its own log profile turns into ours.
    """
    return np.asarray(refet.Daily(**for_refet(weather)).etsz(surface))


def for_refet(weather: Weather) -> dict[str, Any]:
    """The weather under refet's names."""
    return {
        "tmin": weather["t_min_c"],
        "tmax": weather["t_max_c"],
        "ea": weather["vapour_pressure_kpa"],
        "rs": weather["solar_radiation_mj_m2"],
        "uz": weather["wind_2m_m_s"] * np.log(67.8 * 10.0 - 5.42) / 4.87,
        "zw": 10.0,
        "elev": weather["elevation_m"],
        "lat": weather["latitude_deg"],
        "doy": weather["day_of_year"],
    }


def by_pyet(weather: Weather) -> NDArray[np.float64]:
    """Reference ET by pyet, which takes negative values as 0."""
    over = _days_first
    found = pyet.pm_asce(
        tmean=over(0.5 * (weather["t_min_c"] + weather["t_max_c"])),
        tmin=over(weather["t_min_c"]),
        tmax=over(weather["t_max_c"]),
        ea=over(weather["vapour_pressure_kpa"]),
        wind=over(weather["wind_2m_m_s"]),
        rs=over(weather["solar_radiation_mj_m2"]),
        elevation=_places(weather["elevation_m"]),
        lat=_places(np.radians(weather["latitude_deg"])),
    )
    return _plain(found)


def hargreaves_by_pyet(weather: Weather) -> NDArray[np.float64]:
    """Hargreaves-Samani by pyet, in mm of water with its own latent heat of vaporisation."""
    found = pyet.hargreaves(
        tmean=_days_first(0.5 * (weather["t_min_c"] + weather["t_max_c"])),
        tmin=_days_first(weather["t_min_c"]),
        tmax=_days_first(weather["t_max_c"]),
        lat=_places(np.radians(weather["latitude_deg"])),
    )
    return _plain(found)


def _days_first(values: NDArray[np.float64]) -> xarray.DataArray:
    dates = pd.date_range("2023-01-01", periods=len(values))
    return xarray.DataArray(values[:, :, np.newaxis], dims=("time", "y", "x"), coords={"time": dates})


def _places(values: NDArray[np.float64]) -> xarray.DataArray:
    return xarray.DataArray(values[:, np.newaxis], dims=("y", "x"))


def _plain(found: xarray.DataArray) -> NDArray[np.float64]:
    return np.asarray(found.transpose("time", "y", "x").values[:, :, 0])
