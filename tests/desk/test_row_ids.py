"""Row numbers as they are posted: what is no row's number is left out, never taken for another row's."""

import pytest
from django.http import QueryDict

from desk.posted import row_ids


@pytest.mark.parametrize(
    ("posted", "ids"),
    [
        ("c=3&c=1&c=3", [3, 1]),
        ("c=&c=x&c=-1&c=1.5&c=%C2%B2", []),
        ("c=9223372036854775807", [9223372036854775807]),
        ("c=9223372036854775808", []),
        ("c=" + "0" * 19 + "17999", []),  # cut short it would be row 1 or 17
    ],
)
def test_only_numbers_a_row_can_have(posted, ids):
    assert row_ids(QueryDict(posted), "c") == ids
