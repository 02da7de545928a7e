"""What an alteration keys in is stored in one shape, and nothing else is."""

from copy import deepcopy
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from scheduling.models import Change
from scheduling.models.detail import read_detail

HELD = {
    "days": "mon thu",
    "starts": ["03:30", "22:00"],
    "percent": 120,
    "runs": [{"zone": 7, "number": 1, "name": "Lawn", "minutes": 24.0, "cycle": 8.0, "soak": 20.0}],
}
DETAIL: dict[str, Any] = {
    "programs": [
        {"program": 3, "letter": "A", "name": "Lawns", "before": HELD, "after": HELD | {"percent": 90}},
        {"program": None, "letter": "B", "name": "", "before": None, "after": HELD},
    ]
}


def but(path: list[Any], value: Any) -> dict[str, Any]:
    """Return the detail with one value another."""
    found = deepcopy(DETAIL)
    place: Any = found
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return found


RUN = ["programs", 0, "before", "runs", 0]


def test_what_is_stored_is_read_back_as_it_was():
    found = read_detail(DETAIL)
    assert found.as_json() == DETAIL
    assert found.letters == ["A", "B"]
    assert found.programs[0].percent_moves
    assert found.same_as(read_detail(but(["programs", 0, "after", "percent"], 40)))
    assert not found.same_as(read_detail(but(["programs", 0, "after", "days"], "daily")))


@pytest.mark.parametrize(
    "wrong",
    [
        None,
        [],
        {},
        {"programs": []},
        DETAIL | {"more": 1},
        but(["programs", 1, "letter"], "A"),
        but(["programs", 0, "before"], None),
        but(["programs", 1, "program"], 9),
        but(["programs", 0, "after", "days"], "Mon"),
        but(["programs", 0, "after", "starts"], ["3:30"]),
        but(["programs", 0, "after", "percent"], 501),
        but(["programs", 0, "after", "percent"], "much"),
        but(["programs", 0, "after", "runs"], [{"zone": 7}]),
        but([*RUN, "minutes"], -1),
        but([*RUN, "minutes"], None),
        but([*RUN, "minutes"], True),
        but([*RUN, "minutes"], float("nan")),
        but([*RUN, "cycle"], 0.5),
        but([*RUN, "soak"], 1441),
        but(["programs", 0, "before", "runs"], HELD["runs"] * 2),
    ],
)
def test_anything_else_is_refused_by_its_field(wrong):
    with pytest.raises(ValidationError) as refusal:
        Change(kind="minutes", detail=wrong).clean()
    assert set(refusal.value.message_dict) == {"detail"}


def test_runs_only_split_otherwise_are_told_from_runs_that_give_more():
    before = HELD
    split = HELD | {"runs": [HELD["runs"][0] | {"cycle": 6.0, "soak": 30.0}]}  # type: ignore[index]
    longer = HELD | {"runs": [HELD["runs"][0] | {"cycle": 6.0, "minutes": 25.0}]}  # type: ignore[index]

    def only(after: Any) -> bool:
        one = {"program": 3, "letter": "A", "name": "", "before": before, "after": after}
        return read_detail({"programs": [one]}).only_splits

    assert only(split)
    assert not only(longer)
    assert not only(split | {"percent": 90})
    assert not only(split | {"starts": ["03:30"]})
    assert not only(before)
    assert not read_detail(DETAIL).only_splits
