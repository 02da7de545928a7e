"""The table of percents on the page of a change: what the night forbids and what the policy does."""

from datetime import time

import pytest

from fleet.models import WateringRule
from scheduling.models import Change
from scheduling.services.nightly import run_night
from tests.night.garden import ON, TIMEZONE, Garden, garden, policy, weather

pytestmark = pytest.mark.django_db


@pytest.fixture
def heron(settings) -> Garden:
    settings.AS_OF = ON
    settings.WEATHER_SOURCE = "invented"
    place = garden(minutes=90, percent=170)
    weather(place.cell)
    policy(place, percent_min=20, percent_max=150)
    return place


def noted(of: Garden, client) -> dict[int, str]:
    run_night(on=ON, timezone=TIMEZONE)
    change = Change.objects.get(program=of.program, kind="percent")
    curve = client(of.owner).get(f"/changes/{change.pk}/").context["seen"].curve
    return {point.percent: point.refused for point in curve}


def test_percents_the_policy_leaves_out_are_not_said_to_have_no_room(heron: Garden, signed_in):
    told = noted(heron, signed_in)
    assert {told[percent] for percent in (0, 15, 155, 200)} == {"outside the policy"}
    assert {told[percent] for percent in (20, 85, 150)} == {""}


def test_percents_the_night_is_too_short_for_have_no_room(heron: Garden, signed_in):
    rule = WateringRule.objects.create(company=heron.company, name="Town", hours_to=time(5, 0))
    heron.site.watering_rule = rule
    heron.site.save()
    told = noted(heron, signed_in)
    # From 03:00 to 05:00, in cycles of 20 with 20 of soak: 59 min at 65 % are over at 04:39 (20, 20, 19 and
    # two soaks), 63 min at 70 % take a fourth cycle of 3 and are over at 05:03.
    assert (told[65], told[70], told[10]) == ("", "no room", "outside the policy")
