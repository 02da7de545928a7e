"""How far ahead a percent is judged: as long as it may stay in force."""

import pytest

from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.night.garden import ON, TIMEZONE, Garden, garden, policy, weather

pytestmark = pytest.mark.django_db


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden(minutes=60, percent=150)
    weather(place.cell)
    return place


@pytest.mark.parametrize(("points", "last"), [(0, 13), (5, 13), (139, 13), (140, 7), (500, 7)])
def test_a_percent_is_judged_for_a_week_only_where_any_move_passes_by_itself(
    heron: Garden, points: int, last: int
):
    """Bounds of 20 and 160 %, so a move is 140 points at the most.

    Where only small moves pass, the large one up waits for a person after a week has drawn the soil down.
    """
    policy(heron, auto_move_points=points, percent_min=20, percent_max=160)
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.get(program=heron.program, kind="percent")
    assert (change.inputs["first_day"], change.inputs["last_day"]) == (1, last)
