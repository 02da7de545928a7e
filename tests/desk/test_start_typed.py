"""Starts are read and shown with am and pm where a company writes so, and on the plan as well."""

import pytest

from desk.start_typed import start_of, starts_in, starts_line


@pytest.mark.parametrize(
    ("typed", "start"),
    [
        ("4:30", "04:30"),
        ("4:30 am", "04:30"),
        ("12:05 AM", "00:05"),
        ("12 p.m.", "12:00"),
        ("16:05", "16:05"),
        ("13 pm", None),
        ("0 am", None),
        ("24:00", None),
        ("4:61", None),
        ("dawn", None),
        ("", None),
    ],
)
def test_a_start(typed, start):
    assert start_of(typed) == start


def test_a_line_of_starts_with_and_without_commas():
    assert starts_in("3:49 am, 4:10 pm") == ["03:49", "16:10"]
    assert starts_in("3:49 am 4:10pm 05:00") == ["03:49", "16:10", "05:00"]
    assert starts_in("2:30 soon") == ["02:30", "soon"]


def test_what_is_shown_reads_back():
    starts = ["00:10", "03:49", "12:00", "22:30"]
    assert starts_line(starts, "us") == "12:10 am, 3:49 am, 12:00 pm, 10:30 pm"
    for units in ("us", "metric"):
        assert starts_in(starts_line(starts, units)) == starts
