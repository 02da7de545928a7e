"""Coordinates as people write them. 39 deg 12 min 36 s is 39 + 12/60 + 36/3600 = 39.21 (plain arithmetic)."""

import pytest

from fleet.numerics.coordinates import read_coordinates


@pytest.mark.parametrize(
    "text",
    [
        "39.21, -121.06",
        "39.21 -121.06",
        "39.21;-121.06",
        "39.21, −121.06",
        "39 12 36 N, 121 3 36 W",
        "39°12'36\"N 121°3'36\"W",
        "39°12′36″N, 121°03′36″W",
        "N39°12'36\" W121°3'36\"",
        "39° 12.6' N 121° 3.6' W",
        "121.06 W, 39.21 N",
        "39 12 36, -121 3 36",
    ],
)
def test_many_ways_name_one_place(text):
    assert read_coordinates(text) == (39.21, -121.06)


def test_south_and_east():
    assert read_coordinates("33°51'S 151°12'E") == (-33.85, 151.2)
    assert read_coordinates("0, 0") == (0.0, 0.0)
    assert read_coordinates("-90, 180") == (-90.0, 180.0)


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "39.21", "nan, nan", "inf, 3", "1e3, 4", "91, 0", "0, 181", "39 61 0, 121 0 0",
        "39,21, -121,06", "-39 N, 121 W", "39 N, 121 N", "٣٩, 20", "here", "39.21, -121.06, 7", "9" * 10_000,
        "39\0, 20", "🌱, 2",
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_words(text):
    with pytest.raises(ValueError, match=r"[.:]"):
        read_coordinates(text)
