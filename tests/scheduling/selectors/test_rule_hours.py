"""What a rule lets a site do, against a checker that only reads the clock, minute by minute."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from fleet.models import Company, Site, Town, WateringRule
from fleet.numerics.addresses import house_number
from fleet.selectors.site_rule import day_allowed, rule_of, side_of
from scheduling.selectors.hours import allowed_spans, watering_over
from scheduling.selectors.night_clock import NightClock

UNHURRIED = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # a busy machine is no fault
ZONES = ("America/Los_Angeles", "America/Phoenix", "Australia/Lord_Howe", "Europe/Berlin", "America/Havana")
# Nights in which one of these clocks is put forward or back: the checker walks minutes, so it needs no list.
NIGHTS = [date(2026, 3, 7), date(2026, 3, 28), date(2026, 10, 3), date(2026, 10, 24), date(2026, 10, 31)]
nights = st.one_of(st.sampled_from(NIGHTS), st.dates(date(2024, 1, 1), date(2030, 12, 31)))
clocks = st.one_of(st.none(), st.builds(time, st.integers(0, 23), st.sampled_from([0, 15, 30, 59])))


def within(at: time, begin: time, end: time) -> bool:
    if begin == end:
        return True
    return begin <= at < end if begin < end else at >= begin or at < end


def clock_says(rule: WateringRule, at: time) -> bool:
    """Tell from the wall clock alone whether a rule allows watering at a time of day."""
    one, two = (rule.hours_from, rule.hours_to), (rule.again_from, rule.again_to)
    if not any(one):
        return True
    if any(two):
        spans = [(begin or time(0), end or time(0)) for begin, end in (one, two)]
    else:
        spans = [(one[0] or time(12), one[1] or time(12))]
    return any(within(at, *span) for span in spans)


@UNHURRIED
@example(time(2, 15), time(2, 0), None, None, date(2026, 3, 28), "Europe/Berlin")
@example(time(2, 0), time(2, 15), None, None, date(2026, 3, 28), "Europe/Berlin")
@given(clocks, clocks, clocks, clocks, nights, st.sampled_from(ZONES))
def test_hours_are_those_the_wall_clock_shows(begin, end, again, until, night, zone):
    two = (again, until) if begin or end else (None, None)
    rule = WateringRule(hours_from=begin, hours_to=end, again_from=two[0], again_to=two[1])
    clock = NightClock(night, zone)
    spans = allowed_spans(rule, clock)
    assert spans == sorted(spans)
    assert all(a[1] < b[0] for a, b in pairwise(spans))  # apart
    noon = datetime.combine(night, time(12), tzinfo=ZoneInfo(zone)).astimezone(UTC)
    for minute in range(0, int(clock.minutes), 7):
        local = (noon + timedelta(minutes=minute)).astimezone(ZoneInfo(zone))
        if local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset():
            continue  # shown twice: the first of a rule's hours counts
        allowed = any(first <= minute < last for first, last in spans)
        assert allowed == clock_says(rule, local.time()), (local, spans)


@UNHURRIED
@given(nights, st.sampled_from(ZONES), clocks, clocks)
def test_watering_is_over_where_the_allowed_span_ends(night, zone, begin, end):
    clock = NightClock(night, zone)
    spans = allowed_spans(WateringRule(hours_from=begin, hours_to=end), clock)
    for at in range(0, int(clock.minutes), 61):
        over = watering_over(spans, at)
        ahead = [last for _, last in spans if last > at]
        assert over == (ahead[0] if ahead else max((last for _, last in spans), default=0.0))


def test_a_clock_put_forward_takes_an_hour_from_the_night():
    rule = WateringRule(hours_from=time(20), hours_to=time(6))
    # In America/Los_Angeles the 8th of March 2026 has no 2 o'clock: from 20:00 to 6:00 are nine hours.
    assert allowed_spans(rule, NightClock(date(2026, 3, 7), ZONES[0])) == [(480.0, 1020.0)]
    assert allowed_spans(rule, NightClock(date(2026, 3, 8), ZONES[0])) == [(480.0, 1080.0)]
    assert allowed_spans(rule, NightClock(date(2026, 10, 31), ZONES[0])) == [(480.0, 1140.0)]


def test_hours_that_lie_in_the_jump_leave_nothing():
    rule = WateringRule(hours_from=time(2, 15), hours_to=time(2, 45))
    assert allowed_spans(rule, NightClock(date(2026, 3, 7), ZONES[0])) == []


def test_before_nine_and_after_eighteen_is_one_night():
    rule = WateringRule(hours_to=time(9), again_from=time(18))
    assert allowed_spans(rule, NightClock(date(2026, 7, 6), ZONES[0])) == [(360.0, 1260.0)]


@pytest.mark.parametrize(
    ("address", "number"),
    [
        ("421 Levee Bend, Corrin", 421),
        ("No. 7 Quince Row", 7),
        ("#12 Heronry Walk", 12),
        ("12-14 Main Street", 12),
        ("19B Plumb Street", 19),
        ("Lindenweg 7, Aachen", 7),
        ("Lindenweg 7 b", 7),
        ("Main Street, 95990 Corrin", None),
        ("", None),
        ("The old mill", None),
        ("1234567 Too long a number", None),
        ("\u0661\u0662 Corniche", None),
        ("9" * 10_000, None),
    ],
)
def test_the_house_number_is_read_from_the_address(address, number):
    assert house_number(address) == number


RULES = st.fixed_dictionaries(
    {
        "weekdays": st.sampled_from(["", "mon thu", "tue fri", "sat"]),
        "odd_weekdays": st.sampled_from(["", "mon thu"]),
        "even_weekdays": st.sampled_from(["", "tue fri"]),
        "parity": st.sampled_from(["any", "odd", "even", "address"]),
        "season": st.sampled_from([("", ""), ("05-01", "09-30"), ("11-15", "02-28"), ("12-31", "12-31")]),
    }
)


@UNHURRIED
@given(
    RULES,
    st.sampled_from(["7 Elm", "8 Elm", "Elm"]),
    st.sampled_from([None, 3, 4]),
    nights,
    st.integers(0, 6),
)
def test_days_are_those_of_the_address_in_the_season(said, address, number, night, ahead):
    first, last = said.pop("season")
    site = Site(
        address=address,
        house_number=number,
        watering_rule=WateringRule(**said, season_from=first, season_to=last),
    )
    day = night + timedelta(days=ahead)
    # The same once more, from the words of the rule.
    at = number if number is not None else {"7": 7, "8": 8}.get(address[0])
    now = (night.month, night.day)
    if first:
        begin, end = (tuple(map(int, text.split("-"))) for text in (first, last))
        held = begin <= now <= end if begin <= end else not end < now < begin
    else:
        held = True
    days = said["weekdays"]
    if at is not None:
        days = said["odd_weekdays" if at % 2 else "even_weekdays"] or days
    odd_day = day.day in range(1, 32, 2)
    wanted = {"any": True, "odd": odd_day, "even": not odd_day}.get(
        said["parity"], True if at is None else odd_day == bool(at % 2)
    )
    wanted = wanted and (not days or f"{day:%a}".lower() in days)
    assert day_allowed(rule_of(site, night), day) == (wanted or not held)


@pytest.mark.django_db
def test_a_towns_stage_picks_the_rule_of_address_and_kind_from_its_night_on():
    company = Company.objects.create(name="Larkspur Irrigation")
    town = Town.objects.create(
        company=company, name="Upper Vale", stage=2, stage_from=date(2026, 7, 10), stage_before=1
    )

    def rule(name, **fields):
        return WateringRule.objects.create(company=company, name=name, town=town, **fields)

    rule("one", stage=1)
    rule("odd", stage=2, addresses="odd")
    rule("even", stage=2, addresses="even")
    rule("grounds", stage=2, kind="Shared grounds")

    def held(night, **fields):
        site = Site(town=town, timezone=ZONES[0], **{"address": "7 Elm", **fields})
        return str(rule_of(site, night))

    assert held(date(2026, 7, 9)) == "one"
    assert held(date(2026, 7, 10)) == "odd"
    assert held(date(2026, 7, 10), house_number=8) == "even"
    assert held(date(2026, 7, 10), kind="shared grounds") == "grounds"
    assert held(date(2026, 7, 10), address="The mill") == "None"  # nobody can tell, and no rule holds for all
    assert side_of(Site(address="7 Elm", house_number=8)) == "even"
