"""Amounts as people read them. Factors: NIST Handbook 44, appendix C (1 in = 25.4 mm, 1 gal = 3.785412 L)."""

import pytest

from desk import figures
from desk.templatetags import amounts

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("litres", "units", "shown"),
    [
        (3785.41, "us", "1,000 gal"),
        (-143846.0, "us", "−38,000 gal"),
        (18.93, "us", "5 gal"),
        (412_345.0, "metric", "412 m³"),
        (-38_240.0, "metric", "−38 m³"),
        (3_140.0, "metric", "3.1 m³"),
        (310.4, "metric", "310 L"),
        (0.0, "metric", "0 L"),
        (None, "us", "–"),
    ],
)
def test_water_is_shown_to_three_figures_in_the_companys_units(litres, units, shown):
    assert figures.water(litres, units) == shown.replace(" ", NBSP)


def test_a_change_in_water_carries_its_sign():
    assert figures.water(770.0, "metric", signed=True) == f"+770{NBSP}L"
    assert figures.water(0.0, "metric", signed=True) == f"±0{NBSP}L"


@pytest.mark.parametrize(
    ("mm", "units", "shown"),
    [
        (25.4, "us", "1.00 in"),
        (24.2, "metric", "24 mm"),
        (2.84, "metric", "2.8 mm"),
        (-9.0, "metric", "−9.0 mm"),
    ],
)
def test_depths_are_inches_or_millimetres(mm, units, shown):
    assert figures.depth(mm, units) == shown.replace(" ", NBSP)


def test_a_value_that_rounds_to_nothing_has_no_sign():
    assert figures.depth(-0.001, "us") == f"0.00{NBSP}in"


@pytest.mark.parametrize(
    ("function", "value", "us", "metric"),
    [
        (figures.rate, 38.1, "1.50 in/h", "38 mm/h"),
        (figures.area, 92.903, "1,000 ft²", "93 m²"),
        (figures.flow, 37.854, "10.0 gpm", "37.9 L/min"),
        (figures.temperature, 35.0, "95 °F", "35 °C"),
        (figures.wind, 4.4704, "10 mph", "4.5 m/s"),
        (figures.root_depth, 177.8, "7 in", "18 cm"),
    ],
)
def test_what_the_survey_and_the_sky_say_is_shown_in_both_systems(function, value, us, metric):
    assert function(value, "us") == us.replace(" ", NBSP)
    assert function(value, "metric") == metric.replace(" ", NBSP)
    assert function(None, "us") == "–"


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [(-109.4, "USD", "$109"), (5.36, "USD", "$5.36"), (1180, "USD", "$1,180"), (17, "EUR", f"17{NBSP}EUR")],
)
def test_money_is_shown_without_its_sign(amount, currency, shown):
    assert figures.money(amount, currency) == shown


def test_ratios_are_shown_as_percents():
    assert figures.share(0.95) == f"95{NBSP}%"
    assert figures.percent(None) == "–"


@pytest.mark.parametrize(
    ("shown", "told"),
    [
        (figures.depth(3.175, "us"), "0.13 in"),  # 0.125 in
        (figures.depth(-3.175, "us"), "−0.13 in"),
        (figures.share(0.625), "63 %"),
        (figures.percent(62.5), "63 %"),
        (figures.number(2.5), "3"),
        (figures.number(0.5), "1"),
        (figures.number(2.675, 2), "2.68"),
        (figures.water(1.25, "metric"), "1.3 L"),
        (figures.water(12_250.0, "metric"), "12 m³"),
        (figures.area(0.925 * 92.90304, "us"), "925 ft²"),
        (figures.number(2.4999), "2"),
    ],
)
def test_a_half_is_rounded_away_from_zero_as_on_paper(shown, told):
    assert shown == told.replace(" ", NBSP)


@pytest.mark.parametrize(
    ("litres", "amount", "words"),
    [
        (-40.0, 0.07, "saves under $1"),
        (40.0, 0.99, "costs under $1"),
        (-40.0, 1, "saves $1"),
        (40.0, 2.68, "costs $2.68"),
        (-40.0, 0, ""),
    ],
)
def test_cents_are_not_told_like_dollars(litres, amount, words):
    assert amounts.money_words(litres, amount, "USD") == words
