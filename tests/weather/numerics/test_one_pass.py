"""The fast form of the equation and the readable one are the same equation."""

import numpy as np
import pytest

from tests.weather.numerics.invented_weather import invented_weather
from weather.numerics import equations, one_pass
from weather.numerics.penman_monteith import DayOfWeather, standardized


@pytest.fixture(scope="module")
def weather():
    return invented_weather(sites=200, seed=5)


def fast_and_readable(weather, *, latitude_deg):
    day = DayOfWeather(*(weather[name] for name in DayOfWeather._fields))
    latitude = np.radians(latitude_deg)[np.newaxis]
    elevation, day_of_year = weather["elevation_m"][np.newaxis], weather["day_of_year"]
    out, work = np.empty((365, 200)), np.empty((one_pass.WORK_ARRAYS, 365 * 200))
    known = one_pass.terms(latitude, elevation, day_of_year)
    one_pass.short_reference_et(day, known, work=work, out=out)
    above = equations.extraterrestrial(latitude, day_of_year)
    return out, standardized(day, elevation_m=elevation, above=above)


def test_both_forms_agree_on_two_hundred_site_years(weather):
    fast, readable = fast_and_readable(weather, latitude_deg=weather["latitude_deg"])
    assert np.abs(fast - readable).max() < 1e-11


def test_both_forms_agree_from_pole_to_pole(weather):
    fast, readable = fast_and_readable(weather, latitude_deg=np.linspace(-90, 90, 200))
    assert np.isfinite(fast).all()
    assert np.abs(fast - readable).max() < 1e-9
