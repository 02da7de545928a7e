"""Reading an answer: units, gaps, order and conversions. Expected numbers are FAO-56's where it has them."""

from datetime import date

import pytest

from tests.weather.conftest import ON, a_cell, many_cells
from tests.weather.stand_in import A_DAY, UNITS, in_json
from weather.numerics.quality import FLAGS

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2026, 7, 11), date(2026, 7, 16)
EMPTY: dict[str, list[None]] = {name: [] for name in UNITS}
MEANS_AND_SUMS = (
    "wind_speed_10m_mean",
    "shortwave_radiation_sum",
)


def one_day(open_meteo, cell, day=FIRST):
    answer = open_meteo.fetch([cell], first=FIRST, last=LAST, on=ON)
    (part,) = answer.cells[cell.pk]
    return next(found for found in part.days if found.date == day)


def test_wind_at_10_m_is_brought_to_2_m(open_meteo, stand_in, cell):
    """FAO-56, example 14: 3.2 m/s at 10 m are 2.4 m/s at 2 m."""
    stand_in.day = lambda _: A_DAY | {"wind_speed_10m_mean": 3.2}
    assert one_day(open_meteo, cell).wind_2m_m_s == pytest.approx(2.4, abs=0.01)


def test_the_dew_point_gives_the_vapour_pressure(open_meteo, stand_in, cell):
    """FAO-56, annex 2, table 2.3: saturation at 17.0 degC is 1.938 kPa."""
    stand_in.day = lambda _: A_DAY | {"dew_point_2m_mean": 17.0}
    assert one_day(open_meteo, cell).vapour_pressure_kpa == pytest.approx(1.938, abs=0.001)


def test_without_a_dew_point_mean_humidity_gives_the_vapour_pressure(open_meteo, stand_in, cell):
    """FAO-56, example 5: 18 and 25 degC with a mean humidity of 68 % are 1.78 kPa (eq. 19)."""
    stand_in.day = lambda _: (
        A_DAY
        | {
            "dew_point_2m_mean": None,
            "temperature_2m_min": 18.0,
            "temperature_2m_max": 25.0,
            "relative_humidity_2m_mean": 68,
        }
    )
    day = one_day(open_meteo, cell)
    assert day.vapour_pressure_kpa == pytest.approx(1.78, abs=0.005)
    assert not day.partial


def test_probability_becomes_a_ratio(open_meteo, stand_in, cell):
    stand_in.day = lambda _: A_DAY | {"precipitation_probability_max": 81}
    assert one_day(open_meteo, cell).rain_probability == pytest.approx(0.81)


def test_the_sources_own_reference_et_is_kept_beside(open_meteo, cell):
    assert one_day(open_meteo, cell).provider_et_mm == 7.0


def test_null_rain_is_unknown_and_not_zero(open_meteo, stand_in, cell):
    stand_in.day = lambda day: A_DAY | {"precipitation_sum": None if day == FIRST else 0.0}
    assert one_day(open_meteo, cell).rain_mm is None
    assert one_day(open_meteo, cell, date(2026, 7, 12)).rain_mm == 0.0


@pytest.mark.parametrize("gap", MEANS_AND_SUMS)
def test_a_day_with_a_gap_in_a_mean_or_sum_has_no_extremes_to_trust(open_meteo, stand_in, cell, gap):
    stand_in.day = lambda day: A_DAY | ({gap: None} if day == FIRST else {})
    partial, whole = one_day(open_meteo, cell), one_day(open_meteo, cell, date(2026, 7, 12))
    assert partial.partial
    assert (partial.t_min_c, partial.t_max_c) == (None, None)
    assert not whole.partial
    assert whole.t_max_c == 33.0


def test_a_day_without_any_humidity_is_partial(open_meteo, stand_in, cell):
    stand_in.day = lambda _: A_DAY | {"dew_point_2m_mean": None, "relative_humidity_2m_mean": None}
    stand_in.change = lambda _, item: item
    assert one_day(open_meteo, cell).partial


def test_a_null_tail_is_partial_and_the_days_before_are_whole(open_meteo, stand_in, cell):
    stand_in.day = lambda day: dict.fromkeys(A_DAY, None) if day == LAST else A_DAY
    assert one_day(open_meteo, cell, LAST).partial
    assert not one_day(open_meteo, cell, date(2026, 7, 15)).partial


def test_a_variable_the_model_does_not_carry_is_no_gap(open_meteo, stand_in, cell):
    stand_in.day = lambda _: A_DAY | {"wind_speed_10m_mean": None}
    stand_in.change = lambda _, item: item | {"daily_units": UNITS | {"wind_speed_10m_mean": "undefined"}}
    day = one_day(open_meteo, cell)
    assert not day.partial
    assert (day.wind_2m_m_s, day.t_max_c) == (None, 33.0)


@pytest.mark.parametrize(
    ("variable", "unit"),
    [
        ("temperature_2m_max", "°F"),
        ("wind_speed_10m_mean", "km/h"),
        ("wind_speed_10m_mean", "mp/h"),
        ("precipitation_sum", "inch"),
        ("et0_fao_evapotranspiration", "inch"),
        ("shortwave_radiation_sum", "kW-hr/m²"),
        ("wind_speed_10m_mean", "undefined"),
        ("time", "unixtime"),
    ],
)
def test_an_answer_in_another_unit_is_not_used(open_meteo, stand_in, cell, variable, unit):
    stand_in.change = lambda _, item: item | {"daily_units": UNITS | {variable: unit}}
    answer = open_meteo.fetch([cell], first=FIRST, last=LAST, on=ON)
    assert answer.cells == {}
    (problem,) = answer.problems
    assert (problem.code, problem.retryable) == ("wrong_units", False)
    assert [alert.code for alert in answer.alerts] == ["wrong_units"]


def test_exactly_one_place_comes_as_a_bare_object(open_meteo, cell):
    answer = open_meteo.fetch([cell], first=FIRST, last=LAST, on=ON)
    assert len(answer.cells[cell.pk][0].days) == 6


def test_places_are_matched_by_order_though_they_share_a_grid_point(open_meteo, stand_in, cells):
    stand_in.change = lambda i, item: (
        item | {"daily": item["daily"] | {"temperature_2m_max": [30.0 + i] * len(item["daily"]["time"])}}
    )
    answer = open_meteo.fetch(cells, first=FIRST, last=LAST, on=ON)
    assert [answer.cells[cell.pk][0].days[0].t_max_c for cell in cells] == [30.0, 31.0, 32.0]
    assert {answer.cells[cell.pk][0].latitude for cell in cells} == {38.451057}


@pytest.mark.parametrize(
    "emptied",
    [
        lambda item: item | {"daily": EMPTY},
        lambda item: {name: value for name, value in item.items() if name != "daily"},
        lambda item: item | {"daily": None},
        lambda item: (
            item
            | {
                "daily": {"time": item["daily"]["time"]}
                | {name: [None] * len(item["daily"]["time"]) for name in A_DAY}
            }
        ),
    ],
    ids=["empty arrays", "no section", "null section", "nothing but null"],
)
def test_one_empty_place_among_200_costs_only_itself(open_meteo, stand_in, emptied):
    cells = many_cells(200)
    stand_in.change = lambda i, item: emptied(item) if i == 117 else item
    answer = open_meteo.fetch(cells, first=FIRST, last=LAST, on=ON)
    assert len(stand_in.asked) == 1
    assert len(answer.cells) == 199
    assert [(problem.cell_id, problem.code) for problem in answer.problems] == [
        (cells[117].pk, "empty_answer")
    ]


def test_days_of_another_time_zone_are_not_used(open_meteo, stand_in, cell):
    stand_in.change = lambda _, item: item | {"timezone": "GMT", "utc_offset_seconds": 0}
    answer = open_meteo.fetch([cell], first=FIRST, last=LAST, on=ON)
    assert [problem.code for problem in answer.problems] == ["wrong_timezone"]


def test_another_name_of_the_same_time_zone_is_fine(open_meteo, stand_in, cell):
    stand_in.change = lambda _, item: item | {"timezone": "US/Pacific"}
    assert one_day(open_meteo, cell).t_max_c == 33.0


def test_an_answer_for_another_number_of_places_is_not_used_at_all(open_meteo, stand_in, cells):
    stand_in.instead = [in_json([{}, {}]) for _ in range(3)]
    answer = open_meteo.fetch(cells, first=FIRST, last=LAST, on=ON)
    assert answer.cells == {}
    assert {problem.code for problem in answer.problems} == {"broken_answer"}


@pytest.mark.parametrize(
    "bent",
    [
        lambda item: item | {"daily": item["daily"] | {"temperature_2m_max": [33.0]}},
        lambda item: item | {"daily": item["daily"] | {"temperature_2m_max": ["hot"] * 6}},
        lambda item: item | {"daily": item["daily"] | {"time": ["yesterday"] * 6}},
        lambda item: item | {"daily": [1, 2, 3]},
        lambda item: None,
    ],
    ids=["short column", "words", "no dates", "list", "null"],
)
def test_a_place_in_a_bent_shape_costs_only_itself(open_meteo, stand_in, cells, bent):
    stand_in.change = lambda i, item: bent(item) if i == 1 else item
    answer = open_meteo.fetch(cells, first=FIRST, last=LAST, on=ON)
    assert set(answer.cells) == {cells[0].pk, cells[2].pk}
    assert [(problem.cell_id, problem.retryable) for problem in answer.problems] == [(cells[1].pk, True)]


def test_an_elevation_that_is_no_number_is_left_out(open_meteo, stand_in, cell):
    stand_in.change = lambda _, item: item | {"elevation": float("nan")}
    answer = open_meteo.fetch([cell], first=FIRST, last=LAST, on=ON)
    assert answer.cells[cell.pk][0].elevation_m is None


def test_absurd_values_get_through_to_be_flagged_later(open_meteo, stand_in, cell):
    stand_in.day = lambda _: A_DAY | {"wind_speed_10m_mean": 999.0, "dew_point_2m_mean": 500.0}
    day = one_day(open_meteo, cell)
    assert day.wind_2m_m_s == pytest.approx(747, abs=1)
    assert "wind out of range" in FLAGS


def test_a_place_in_another_zone_is_asked_for_in_its_own(open_meteo, stand_in, cell):
    other = a_cell(1, timezone="America/New_York")
    answer = open_meteo.fetch([cell, other], first=FIRST, last=LAST, on=ON)
    assert stand_in.asked[0]["timezone"] == ["America/Los_Angeles", "America/New_York"]
    assert set(answer.cells) == {cell.pk, other.pk}
