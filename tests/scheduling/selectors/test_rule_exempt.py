"""What a rule leaves alone: exempt heads, permits for new plantings; and its cap of minutes a day."""

from datetime import date, time

import pytest

from fleet.models import WateringRule, ZoneEpisode
from scheduling.models import ZoneRun
from scheduling.selectors.rule_effect import DAYS, HOURS, MINUTES, coming_nights
from scheduling.selectors.timeline import timeline
from tests.cast import TODAY, Cast, a_program, a_zone

pytestmark = pytest.mark.django_db


def under(cast: Cast, **fields) -> WateringRule:
    rule = WateringRule.objects.create(company=cast.company, name="Town", **fields)
    cast.site.watering_rule = rule
    cast.site.save()
    return rule


def limits(cast: Cast) -> list[str]:
    cast.controller.refresh_from_db()
    return [limit.binding for limit in timeline(cast.controller, night=TODAY).limits]


def test_exempt_heads_water_whenever_they_like(cast: Cast):
    # The cast waters daily at 4:30 for 12 minutes; that is Tuesday.
    rule = under(cast, weekdays="sat", hours_to=time(4), zone_minutes=5)
    assert limits(cast) == ["days", "hours", "minutes"]
    cast.zone.head = "drip"
    cast.zone.save()
    assert limits(cast) == ["days", "hours", "minutes"]
    rule.exempt_heads = "bubbler drip"
    rule.save()
    assert limits(cast) == []
    assert coming_nights(cast.owner, rule, on=TODAY).against(rule) == []


@pytest.mark.parametrize(
    ("episode", "binding"),
    [
        ({}, []),
        ({"permit": ""}, ["days"]),
        ({"kind": "overseed"}, ["days"]),
        ({"effective_to": date(2026, 7, 5)}, ["days"]),
        ({"permit_to": date(2026, 7, 5)}, ["days"]),
        ({"permit_from": date(2026, 7, 2), "permit_to": date(2026, 7, 31)}, []),
        ({"effective_from": date(2026, 7, 7)}, ["days"]),
        ({"permit_hours_from": time(4), "permit_hours_to": time(5)}, []),
        ({"permit_hours_from": time(3), "permit_hours_to": time(4)}, ["hours"]),
    ],
)
def test_a_permit_for_a_new_planting_lifts_the_days_and_may_name_hours(cast: Cast, episode, binding):
    rule = under(cast, weekdays="sat", hours_from=time(22), hours_to=time(6))
    usual = {"kind": "grow-in", "effective_from": date(2026, 7, 1), "permit": "P-114"}
    ZoneEpisode.objects.create(zone=cast.zone, **{**usual, **episode})
    assert limits(cast) == binding
    against = coming_nights(cast.owner, rule, on=TODAY).against(rule)
    assert bool(against) == bool(binding) or episode.get("effective_from") == date(2026, 7, 7)


def test_minutes_are_counted_by_zone_and_date_over_all_starts_and_programs(cast: Cast):
    rule = under(cast, zone_minutes=36)
    cast.program.starts = ["04:30", "21:00"]
    cast.program.save()
    assert limits(cast) == []  # twice 12
    other = a_program(cast.controller, "B", starts=["05:30"])
    ZoneRun.objects.create(program=other, zone=cast.zone, minutes=13)
    ZoneRun.objects.create(program=other, zone=a_zone(cast.controller, 2), minutes=36)
    assert limits(cast) == ["minutes"]  # 12 + 12 + 13
    against = coming_nights(cast.owner, rule, on=TODAY).against(rule)
    assert [one.against for one in against] == [(MINUTES,), (MINUTES,)]


def test_days_of_a_week_are_counted_for_the_site_as_a_whole(cast: Cast):
    rule = under(cast, days_per_week=3, hours_to=time(4))
    cast.program.days = "mon thu"
    cast.program.save()
    other = a_program(cast.controller, "B", starts=["03:00"], days="thu fri")
    ZoneRun.objects.create(program=other, zone=cast.zone, minutes=9)
    nights = coming_nights(cast.owner, rule, on=TODAY)
    assert [one.against for one in nights.against(rule)] == [(HOURS,)]
    rule.days_per_week = 2
    assert [one.against for one in nights.against(rule)] == [(HOURS, DAYS), (DAYS,)]
