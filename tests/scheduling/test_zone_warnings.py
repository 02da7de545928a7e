"""What is too much about a zone: pipe, supply, slope."""

from typing import Any

import pytest

from fleet.models import Controller, Zone
from scheduling.selectors.zone_warnings import too_much
from tests.night.garden import garden, zone

pytestmark = pytest.mark.django_db
GPM = 3.785411784


def kinds(one: Zone) -> list[str]:
    fresh = Zone.objects.select_related("controller__site", "controller__source").get(pk=one.pk)
    return [found.kind for found in too_much(fresh)]


def a_zone(**fields: Any) -> Zone:
    one = garden().zones[0]
    for name, value in fields.items():
        setattr(one, name, value)
    one.save()
    return one


@pytest.mark.parametrize(
    ("pipe", "gpm"),  # 5 ft/s by v = 0.4085 Q / d2 (fire-protection reference), inside widths as printed
    [("Schedule 40 3/4 in", 7.9), ("Schedule 40 1 in", 13.0), ("Class 200 1 in", 17.3)],
)
def test_water_over_five_feet_a_second_is_told(pipe, gpm):
    one = a_zone(pipe=pipe, flow_l_min=(gpm - 0.1) * GPM)
    assert kinds(one) == []
    Zone.objects.update(flow_l_min=(gpm + 0.1) * GPM)
    assert kinds(one) == ["velocity"]


def test_the_main_pipe_is_told_apart():
    one = a_zone(flow_l_min=40.0)
    one.controller.source.pipe = "Schedule 40 3/4 in"  # carries 7.9 gpm, 29.9 L/min
    one.controller.source.save()
    assert kinds(one) == ["main velocity"]


def test_what_runs_at_once_must_not_exceed_the_supply():
    one = a_zone(flow_l_min=50.0)
    assert kinds(one) == []
    zone(one.controller, 2, flow_l_min=45.0)
    Controller.objects.filter(pk=one.controller_id).update(zones_at_once=2)
    assert kinds(one) == ["supply"]  # 95 of 90 L/min


def test_controllers_that_share_a_supply_are_added_up():
    one = a_zone(flow_l_min=50.0)
    other = Controller.objects.create(site=one.controller.site, source=one.controller.source, name="Gate")
    zone(other, 1, flow_l_min=45.0)
    fresh = Zone.objects.select_related("controller__source").get(pk=one.pk)
    (found,) = too_much(fresh)
    assert (found.kind, found.has, found.most) == ("sharing", 95.0, 90.0)
    assert set(found.names) == {"main", "Shed", "Gate"}


def test_a_fast_head_on_a_steep_clay_slope_is_told():
    # Clay, 13 % and over: 0.10 in may stand, 0.10 in/h goes in. 2.0 in/h x 0.95 - 0.10 fills it in 3.3 min,
    # 2.5 in/h x 0.95 - 0.10 in 2.6 min, under the three minutes a zone takes to come up.
    steep = {"soil": "clay", "slope_percent": 30.0, "head": "spray"}
    assert kinds(a_zone(**steep, precipitation_rate_mm_h=2.0 * 25.4)) == ["steep"]


def test_a_still_faster_one_has_no_cycle_left():
    steep = {"soil": "clay", "slope_percent": 20.0, "head": "spray"}
    assert kinds(a_zone(**steep, precipitation_rate_mm_h=2.5 * 25.4)) == ["short cycle"]
