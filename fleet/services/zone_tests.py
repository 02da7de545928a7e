"""A zone was run and looked at: its measured flow goes into its survey, beside it what was expected."""

import datetime as dt
from typing import Any

from django.db import transaction

from common import clock
from common.errors import Refused
from fleet.models import User, Zone, ZoneRound, ZoneTest
from fleet.numerics.flow_check import flow_of_volume
from fleet.numerics.hydraulics import INSIDE_MM
from fleet.selectors.flow_checks import expectation_of
from fleet.selectors.people import require_enter
from fleet.services.measured import FLOW, put_back, take_measured
from fleet.services.storing import store
from fleet.tenancy import company_id_of

FIELDS = ("flow_l_min", "measured", "pressure_kpa", "seen", "note", "not_seen_because", "by")
LEAST_FLOW = 0.1  # a survey takes no smaller one; what is less is a valve that stays shut


@transaction.atomic
def test_zone(
    *, zone: Zone, by: User, date: dt.date, round: ZoneRound | None = None, **fields: Any
) -> ZoneTest:
    """Store what was found at a zone; one a round, or one a day outside of rounds; another sets it right.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the day is still to come or the round is over.
    ValidationError
        If a value can't be, or the round doesn't go past this zone.
    """
    require_enter(by, company_id_of(zone))
    if date > clock.today(zone.controller.site.timezone):
        raise Refused("That day is still to come.", field="date")
    if round is not None and round.done_on is not None:
        raise Refused("This round is over. Start another one.", field="round")
    Zone.objects.select_for_update().get(pk=zone.pk)  # one after the other
    place = {"round": round} if round is not None else {"round": None, "date": date}
    test = ZoneTest.objects.filter(zone=zone, **place).first()
    test = test or ZoneTest(zone=zone, date=date, round=round)
    _write(test, fields | {"by": by})
    return test


@transaction.atomic
def edit_test(*, test: ZoneTest, by: User, **fields: Any) -> ZoneTest:
    """Set a test right; it stays with its zone, round and day. Raises as ``test_zone``."""
    require_enter(by, company_id_of(test))
    Zone.objects.select_for_update().get(pk=test.zone_id)
    _write(test, fields | {"by": by})
    return test


def flow_from(measured: dict[str, float]) -> float:
    """Return the flow that a bucket or two readings of a meter give. [L/min]

    Raises
    ------
    Refused
        If the seconds are missing, or the meter ran backwards.
    """
    seconds = measured.get("seconds", 0.0)
    if not 0 < seconds <= 7_200:
        raise Refused("Type how many seconds it ran.", field="seconds")
    volume = measured.get("volume_l")
    if volume is None:
        volume = measured["after_l"] - measured["before_l"]
    if volume < 0:
        raise Refused("The second reading is less than the first.", field="after")
    return round(float(flow_of_volume(volume, seconds)), 3)


@transaction.atomic
def set_pipe(*, zone: Zone, by: User, pipe: str) -> Zone:
    """Note the pipe that leads from a zone's valve to its heads.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the pipe isn't in the table.
    """
    require_enter(by, company_id_of(zone))
    if pipe and pipe not in INSIDE_MM:
        raise Refused("Pick a pipe of the list.", field="pipe")
    store(zone, fields={"pipe": pipe}, may_set=("pipe",), once="number")
    return zone


def _write(test: ZoneTest, fields: dict[str, Any]) -> None:
    if (measured := fields.get("measured")) and fields.get("flow_l_min") is None:
        fields["flow_l_min"] = flow_from(measured)
    flow_before = test.flow_l_min
    store(test, fields=fields, may_set=FIELDS, once="date")
    if test.flow_l_min == flow_before:
        return
    _into_survey(test, flow_before)


def _into_survey(test: ZoneTest, flow_before: float | None) -> None:
    """Take a new flow into the survey, and the one it corrects out of it."""
    if test.replaced is not None and flow_before is not None:
        if test.zone.flow_l_min == flow_before:
            put_back(test.zone, test.replaced, {FLOW: flow_before})
        test.replaced = None
    expected = expectation_of(test.zone, before=test)
    test.expected_l_min = expected.flow_l_min if expected else None
    test.expected_from = expected.how if expected else ""
    if test.flow_l_min is not None and test.flow_l_min >= LEAST_FLOW:
        test.replaced = take_measured(test.zone, **{FLOW: test.flow_l_min})
    test.save(update_fields=["replaced", "expected_l_min", "expected_from"])
