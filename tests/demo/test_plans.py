"""Every controller of the demo has a plan whose night keeps every rule: checked here from the rules alone.

The checker knows nothing of the planner's modules: it opens valves by its own reading of how controllers run.
"""

from collections import defaultdict
from datetime import date, timedelta
from itertools import pairwise

import pytest

from common import clock
from fleet.models import Controller, Zone
from fleet.numerics.heads import HEADS
from fleet.numerics.soils import SOILS
from scheduling.selectors.plan import Plan
from scheduling.selectors.plan.of_controller import plan_of

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite, pytest.mark.usefixtures("demo")]
NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@pytest.fixture(scope="module")
def plans(demo):
    found = []
    controllers = Controller.objects.select_related("site__client", "site__watering_rule", "source")
    for controller in controllers.order_by("pk"):
        found.append(plan_of(controller, night=clock.today(controller.site.timezone)).plan)
    return found


def minutes_of(start: str) -> int:
    return (int(start[:2]) * 60 + int(start[3:]) - 720) % 1440


def waters(days: str, day: date) -> bool:
    if days in ("odd", "even"):
        return day.day % 2 == (days == "odd")
    return days == "daily" or NAMES[day.weekday()] in days.split()


def nights(plan: Plan):
    """Yield valve openings of four weeks, ``(program, zone, begin, end)``, one valve at a time."""
    first = plan.asked.clock.night
    for n in range(28):
        night, queue = first + timedelta(days=n), []
        for program in plan.programs:
            for start in program.starts:
                at = minutes_of(start)
                if waters(program.days, night if at < 720 else night + timedelta(days=1)):
                    queue.append((at, program.letter, program))
        free, opened = 0.0, []
        for at, _, program in sorted(queue, key=lambda one: one[:2]):
            begin, opened_now = max(at, free), []
            left = {run.zone.number: run.minutes for run in program.runs}
            ready = dict.fromkeys(left, -1e9)
            while left:
                # A round: all zones left, one after another; it waits until every one of them is ready.
                offset, starts = 0.0, {}
                for run in program.runs:
                    if run.zone.number in left:
                        starts[run.zone.number] = offset
                        offset += min(left[run.zone.number], run.cycle or 1e9)
                begin = max([begin, *(ready[z] - o for z, o in starts.items())])
                for run in program.runs:
                    z = run.zone.number
                    if z in left:
                        lasts = min(left[z], run.cycle or 1e9)
                        opened_now.append((program, z, begin + starts[z], begin + starts[z] + lasts))
                        ready[z] = begin + starts[z] + lasts + (run.soak or 0)
                        left[z] = round(left[z] - lasts, 6)
                left = {z: m for z, m in left.items() if m > 1e-6}
                begin += offset
            free = max(end for *_, end in opened_now)
            opened += opened_now
        yield night, opened


def soak_and_cycle(zone: Zone):
    """Return rate on the ground, intake, and the minutes until water runs off, from the tables alone."""
    soil = SOILS[zone.soil]
    rate = zone.precipitation_rate_mm_h or 60 * zone.flow_l_min / zone.area_m2
    cans = zone.basis.get("precipitation_rate_mm_h") == "measured"
    rate *= 0.95 if HEADS[zone.head].overhead and not cans else 1.0
    band = sum(zone.slope_percent > top for top in (3, 6, 12))
    intake = soil.intake_mm_h.value
    over = rate - intake
    return rate, intake, float("inf") if over <= 0 else 60 * soil.accumulation_mm[band].value / over


def test_every_controller_has_a_plan(plans):
    assert len(plans) == 50
    assert all(plan.programs for plan in plans)
    assert sum(plan.fits for plan in plans) >= 35
    assert {plan.binding for plan in plans} <= {None, "days", "programs"}


def test_every_zone_is_planned_once_or_named(plans):
    for plan in plans:
        run = [one.zone.number for program in plan.programs for one in program.runs]
        left = [one.zone.number for one in plan.left_out]
        assert sorted(run + left) == sorted(plan.asked.controller.zones.values_list("number", flat=True))


def test_what_a_controller_holds_is_kept(plans):
    for plan in plans:
        held = plan.asked.controller
        assert len(plan.programs) <= held.program_capacity
        for program in plan.programs:
            assert 0 < len(program.starts) <= held.starts_per_program
            for run in program.runs:
                steps = run.minutes / held.minute_step
                assert steps == pytest.approx(round(steps))
                assert held.cycle_and_soak or run.cycle is None


def test_nights_keep_hours_days_and_flow(plans):
    for plan in plans:
        rule, source = plan.asked.rule, plan.asked.controller.source
        for night, opened in nights(plan):
            by_begin = sorted(opened, key=lambda one: one[2])
            for before, after in pairwise(by_begin):
                assert after[2] >= before[3] - 1e-6  # one valve at a time
            for program, number, begin, end in opened:
                if rule is not None and rule.hours_from:
                    assert begin >= minutes_of(f"{rule.hours_from:%H:%M}") - 1e-6
                if rule is not None and rule.hours_to:
                    assert end <= minutes_of(f"{rule.hours_to:%H:%M}") + 1e-6, (plan.asked.controller, night)
                zone = next(run.zone for run in program.runs if run.zone.number == number)
                flow = zone.flow_l_min or zone.precipitation_rate_mm_h * zone.area_m2 / 60
                assert source is None or source.flow_l_min is None or flow <= source.flow_l_min
        if rule is None:
            continue
        for program in plan.programs:
            for day in (plan.asked.clock.night + timedelta(days=n) for n in range(70)):
                if waters(program.days, day):
                    assert not rule.weekdays or NAMES[day.weekday()] in rule.weekdays.split()
                    assert rule.parity == "any" or day.day % 2 == (rule.parity == "odd")
        if rule.days_per_week is not None and rule.parity == "any":
            used = {day for program in plan.programs for day in program.days.split()}
            assert len(used - {"daily"}) <= rule.days_per_week


def test_no_cycle_runs_off_and_every_soak_is_long_enough(plans):
    for plan in plans:
        step = plan.asked.controller.minute_step
        for _, opened in nights(plan):
            of_zone = defaultdict(list)
            for program, number, begin, end in opened:
                of_zone[program.letter, number].append((begin, end))
            for (letter, number), spans in of_zone.items():
                zone = next(one.zone for one in plan.zones if one.zone.number == number)
                rate, intake, longest = soak_and_cycle(zone)
                spans.sort()
                for begin, end in spans:
                    assert end - begin <= max(longest, 3 + step) + 1e-6, (plan.asked.controller, letter)
                for (begin, end), (later, _) in pairwise(spans):
                    drains = min(end - begin, longest) * max(0.0, rate / intake - 1)
                    assert later - end >= drains - 1e-6


def test_shared_water_is_never_asked_for_too_much(plans):
    """With what the others on the source hold now; no night of ours may add too much to it."""
    for plan in plans:
        assert plan.night is not None
        assert all(limit.binding != "flow" for limit in plan.night.limits)


def test_where_days_are_enough_no_zone_passes_its_limit(plans):
    for plan in plans:
        if plan.binding == "days":
            continue
        for one in plan.zones:
            assert one.effect.mean_over_share <= 0.005
            assert one.effect.met > 0.97
