"""Sources put together and spread over days, by hand."""

from itertools import pairwise

import numpy as np
import pytest

from fleet.numerics.use_spans import Piece, layered, spread, stretches


def test_the_better_source_counts_and_the_other_keeps_its_share_of_what_is_left():
    bill = Piece(0.0, 30.0, 300.0, "bill")
    reading = Piece(10.0, 20.0, 70.0, "reading")
    assert layered([[reading], [bill]]) == [
        Piece(0.0, 10.0, 100.0, "bill"),
        reading,
        Piece(20.0, 30.0, 100.0, "bill"),
    ]


def test_what_one_source_does_not_know_another_tells():
    reset = Piece(0.0, 20.0, None, "reading", "set back")
    bill = Piece(5.0, 15.0, 10.0, "bill")
    assert layered([[], [reset], [bill]]) == [
        reset._replace(end=5.0),
        bill,
        reset._replace(begin=15.0),
    ]


def test_days_are_filled_evenly_and_unknown_where_any_part_is():
    pieces = [Piece(0.0, 15.0, 30.0, "bill"), Piece(15.0, 30.0, 15.0, "bill")]
    assert spread(pieces, [0, 10, 20, 30]).tolist() == [20.0, 15.0, 10.0]
    np.testing.assert_array_equal(spread(pieces, [-5, 5, 25, 35]), [np.nan, 30.0, np.nan])
    np.testing.assert_array_equal(spread([], [0, 1, 2]), [np.nan, np.nan])
    np.testing.assert_array_equal(spread([Piece(0, 9, None, "reading")], [0, 9]), [np.nan])
    with pytest.raises(ValueError, match="rise"):
        spread(pieces, [0, 0])


def test_hours_become_one_piece_a_day_and_a_missing_hour_parts_it():
    begins = [0, 3600, 7200, 14_400]  # the fourth hour of the day is missing
    assert stretches(begins, [60] * 4, [1, 2, 3, 4], breaks=[0, 7200]) == [
        Piece(0.0, 7200.0, 3.0, "interval"),
        Piece(7200.0, 10_800.0, 3.0, "interval"),
        Piece(14_400.0, 18_000.0, 4.0, "interval"),
    ]
    assert stretches([], [], [], breaks=[]) == []
    with pytest.raises(ValueError, match="as many"):
        stretches([0.0], [60], [], breaks=[])


def test_rows_that_overlap_are_counted_once_and_told():
    (piece,) = stretches([0, 1800, 3600], [60, 60, 60], [5, 6, 7], breaks=[0])
    assert (piece.end, piece.litres) == (7200.0, 12.0)
    assert piece.doubt == "rows that overlap others were left out"


def pieces_of(rng: np.random.Generator) -> list[Piece]:
    """Return up to eight pieces that don't overlap, in whole seconds."""
    edges = np.sort(rng.choice(80, size=2 * rng.integers(0, 9), replace=False))
    ends = edges.reshape(-1, 2).tolist()
    return [Piece(float(b), float(e), float(rng.integers(0, 50)), "x") for b, e in ends]


@pytest.mark.parametrize("seed", range(50))
def test_nothing_overlaps_and_nothing_is_counted_twice(seed):
    rng = np.random.default_rng(seed)
    layers = [pieces_of(rng) for _ in range(3)]
    whole = layered(layers)
    assert all(p.end <= q.begin for p, q in pairwise(whole))
    by_second = dict[int, float]()
    for p in (p for layer in reversed(layers) for p in layer):
        assert p.litres is not None
        by_second |= dict.fromkeys(range(int(p.begin), int(p.end)), p.litres / (p.end - p.begin))
    assert sum(p.end - p.begin for p in whole) == len(by_second)
    assert sum(p.litres or 0.0 for p in whole) == pytest.approx(sum(by_second.values()))
