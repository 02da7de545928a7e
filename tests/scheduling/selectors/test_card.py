"""What a card says of zones that several starts leave too little."""

import pytest

from scheduling.models import ZoneRun
from scheduling.selectors.card import controller_card
from tests.night.garden import ON, Garden, garden

pytestmark = pytest.mark.django_db
NO_SOAK = {"cycle_and_soak": False, "starts_per_program": 4, "program_capacity": 1}


def two_zones(minutes: float) -> Garden:
    """A lawn of 40 minutes that takes 10 at a time, so four starts, and a bed beside it in its program."""
    place = garden(zones=2, controller=NO_SOAK)
    lawn, bed = place.zones
    ZoneRun.objects.filter(zone=lawn).update(minutes=40, cycle=10, soak=20)
    ZoneRun.objects.filter(zone=bed).update(minutes=minutes, cycle=None, soak=None)
    return place


def test_runs_too_short_to_wet_anything_are_told():
    card = controller_card(two_zones(8).controller, night=ON)
    assert [line.minutes for line in card.programs[0].lines] == [10, 2]  # 8 in four starts
    assert card.warnings == [
        "Program A: too short to wet anything: zone 2 2 min a start. A program of their own with fewer "
        "starts would do."
    ]


def test_a_zone_left_without_water_is_told():
    card = controller_card(two_zones(1).controller, night=ON)
    assert [line.minutes for line in card.programs[0].lines] == [10]  # a quarter of a minute is none
    assert card.warnings[0] == (
        "Program A: nothing is left for zone 2. Key it in a program of its own with one start."
    )


def test_runs_long_enough_need_no_word():
    assert controller_card(two_zones(12).controller, night=ON).warnings == []
