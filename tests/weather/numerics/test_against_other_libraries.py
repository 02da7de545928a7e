"""Agreement with two general-purpose libraries on 500 invented site-years.

Ours, refet and pyet follow the same standards and still differ, each for a reason that is set apart here:

* refet adjusts wind from 2 m to 2 m, by a factor of 1.0002 (see ``other_libraries``);
* both keep calm wind as it is, so they get wind of at least 0.5 m/s here;
* refet lets a dark winter's day come out below 0;
* pyet has FAO's rounding of two constants, we and refet have ASCE's;
* pyet lets air hold more than saturation; refet and we take the deficit as 0 then;
* pyet's Hargreaves-Samani divides by a latent heat that follows temperature, where FAO-56 has 0.408.

Cloud is treated alike by all three: Rs/Rso within 0.3 to 1.
"""

import numpy as np
import pytest

from tests.weather.numerics.invented_weather import invented_weather
from tests.weather.numerics.other_libraries import by_pyet, by_refet, hargreaves_by_pyet
from weather.numerics.hargreaves import hargreaves_samani_et
from weather.numerics.penman_monteith import SHORT, TALL, standardized_et
from weather.numerics.reference_et import daily_reference_et
from weather.numerics.sun import daylight_hours, extraterrestrial_radiation


@pytest.fixture(scope="module")
def weather():
    return invented_weather(sites=500)


@pytest.fixture(scope="module")
def breezy(weather):
    return weather | {"wind_2m_m_s": np.maximum(weather["wind_2m_m_s"], 0.5)}


def test_the_invented_weather_covers_calm_dark_cold_and_hot_days(weather):
    assert weather["t_min_c"].min() < -30
    assert weather["t_max_c"].max() > 45
    assert weather["latitude_deg"].min() < -54
    assert weather["latitude_deg"].max() > 63
    assert 0.02 < np.mean(weather["wind_2m_m_s"] < 0.5) < 0.10
    assert daylight_hours(weather["latitude_deg"], weather["day_of_year"]).min() < 5


def test_five_hundred_site_years_agree_with_refet(weather, breezy):
    ours, method = daily_reference_et(**weather)
    theirs = by_refet(breezy)
    assert not method.any()
    assert ours.shape == (365, 500)
    assert theirs.min() < 0, "some dark winter day must show that ours stops at 0"
    assert np.abs(ours - np.maximum(theirs, 0.0)).max() < 1e-9


@pytest.mark.parametrize(("name", "surface"), [("short", SHORT), ("tall", TALL)])
def test_the_bare_equation_agrees_with_refet_without_any_limit(weather, name, surface):
    ours = standardized_et(**weather, surface=surface)
    assert np.abs(ours - by_refet(weather, surface=name)).max() < 1e-9


def test_five_hundred_site_years_agree_with_pyet(weather, breezy):
    ours, _ = daily_reference_et(**weather)
    assert np.abs(ours - by_pyet(breezy)).max() < 0.001


def test_what_is_left_between_pyet_and_us_is_the_stefan_boltzmann_constant(weather, breezy, monkeypatch):
    ours, _ = daily_reference_et(**weather)
    apart = np.abs(ours - by_pyet(breezy)).max()
    monkeypatch.setattr("pyet.rad_utils.STEFAN_BOLTZMANN_DAY", 4.901e-9)
    left = np.abs(ours - by_pyet(breezy)).max()
    assert apart > 0.0005
    # The slope's 2503 instead of 4098 x 0.6108 accounts for the rest.
    assert left < 0.0002


def test_a_leap_years_last_day_agrees_with_refet():
    weather = invented_weather(sites=40, days=366, seed=2024)
    assert weather["day_of_year"][-1] == 366
    ours = standardized_et(**weather)
    assert np.abs(ours - by_refet(weather))[-1].max() < 1e-9


def test_oversaturated_air_has_no_deficit_for_us_and_refet_but_a_negative_one_for_pyet(breezy):
    # FAO-56, page 36: e0(15.0) is 1.705 kPa.
    fog = {"t_min_c": 14.5, "t_max_c": 15.5, "vapour_pressure_kpa": 1.9}
    foggy = breezy | {name: np.full_like(breezy["t_min_c"], value) for name, value in fog.items()}
    ours, _ = daily_reference_et(**foggy)
    assert np.abs(ours - np.maximum(by_refet(foggy), 0.0)).max() < 1e-9
    assert (ours - by_pyet(foggy)).max() > 0.1


def test_hargreaves_samani_agrees_with_pyet_once_the_latent_heat_is_set_apart(weather):
    t_min, t_max = weather["t_min_c"], weather["t_max_c"]
    above = extraterrestrial_radiation(weather["latitude_deg"], weather["day_of_year"])
    ours = hargreaves_samani_et(t_min_c=t_min, t_max_c=t_max, extraterrestrial_mj_m2=above)
    # FAO-56 Annex 3, eq. 3-1: latent heat 2.501 - 0.002361 T; FAO-56 eq. 20 takes 1 / 2.45 = 0.408.
    latent_heat = 2.501 - 0.002361 * 0.5 * (t_min + t_max)
    assert np.abs(ours / (0.408 * latent_heat) - hargreaves_by_pyet(weather)).max() < 1e-6
