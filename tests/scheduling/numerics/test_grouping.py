"""Zones into programs: small cases by hand, and against every way to cut for others."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.numerics.grouping import days_of_water, grouped


def groups(days: list[float], *, most: int, water: list[float] | None = None, **more: float) -> list[int]:
    return grouped([days], water or [1.0] * len(days), most=most, **more).tolist()


def test_days_of_water():
    # 24 mm at 6 mm a day last four days.
    assert days_of_water([24.0, 30.0], [6.0, 10.0]).tolist() == [4.0, 3.0]


def test_lawns_and_shrubs_do_not_share_a_program():
    assert groups([3.0, 9.0, 3.2, 8.5], most=3) == [0, 1, 0, 1]


def test_zones_alike_stay_in_one_program_however_many_there_are():
    assert groups([3.0, 3.1, 3.3, 3.9], most=4) == [0, 0, 0, 0]


def test_where_programs_are_few_the_nearest_share_one():
    assert groups([2.0, 4.0, 5.0, 16.0], most=3) == [0, 1, 1, 2]
    assert groups([2.0, 4.0, 5.0, 16.0], most=1) == [0, 0, 0, 0]


def test_who_uses_most_water_weighs_most():
    # Two cuts to choose from, the same ratio apart; the pair that uses little is put together.
    assert groups([2.0, 4.0, 8.0], most=2, water=[100.0, 100.0, 1.0]) == [0, 1, 1]
    assert groups([2.0, 4.0, 8.0], most=2, water=[1.0, 100.0, 100.0]) == [0, 0, 1]


def test_zones_whose_need_moves_otherwise_over_the_year_part():
    # Equal in July, but one rests in winter: in January its soil lasts four times as long.
    year = [[3.0, 3.0], [6.0, 24.0]]
    assert grouped(year, [1.0, 1.0], most=2).tolist() in ([0, 1], [1, 0])


@given(st.lists(st.integers(1, 40), min_size=1, max_size=7), st.integers(1, 7))
def test_no_other_cut_of_as_many_programs_costs_less(days, most):
    from itertools import combinations

    lasting = np.log(np.array(days, dtype=float))
    found = grouped([days], [1.0] * len(days), most=most)
    count = int(found.max()) + 1
    order = np.sort(lasting)

    def cost(parts: list[np.ndarray]) -> float:
        return float(sum(((part - part.mean()) ** 2).sum() for part in parts))

    every = [cost(np.split(order, list(at))) for at in combinations(range(1, len(days)), count - 1)]
    mine = cost([lasting[found == n] for n in range(count)])
    assert mine == pytest.approx(min(every), abs=1e-9)
    assert count <= most
    if count < most and count < len(days):
        assert all(np.ptp(lasting[found == n]) <= np.log(1.35) + 1e-9 for n in range(count))


def test_no_zones_no_groups():
    assert grouped(np.ones((12, 0)), [], most=3).size == 0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: groups([0.0], most=1), "days is 0"),
        (lambda: groups([1.0], most=0), "most holds 0"),
        (lambda: groups([1.0], most=1, alike=0.5), "alike holds 0.5"),
        (lambda: groups([1.0], most=1, water=[-1.0]), "water_mm is -1"),
        (lambda: days_of_water([0.0], [1.0]), "raw_mm is 0"),
    ],
)
def test_impossible_groups_are_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
