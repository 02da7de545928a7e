"""One more row of every model the back office lists, for tests that go through all of its pages."""

from datetime import UTC, datetime, timedelta
from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.contrib.admin.models import CHANGE, LogEntry
from django.contrib.auth.models import Group
from django.contrib.contenttypes.models import ContentType
from django_celery_beat.models import (
    ClockedSchedule,
    CrontabSchedule,
    IntervalSchedule,
    PeriodicTask,
    SolarSchedule,
)
from knox.models import AuthToken

from fleet.models import Client, ClientAccess, Company, Membership, Site, User, WaterSource
from scheduling.models import Change, ChangeEvent, Delivery, NightlyRun, NightlyRunCompany, Program, ZoneRun
from tests.cast import MORNING, TIMEZONE, TODAY, Cast, a_zone, person
from tests.rows import MAKERS, Maker
from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay, SourceUsage, WeatherCell

NOW = datetime(2026, 7, 6, 11, tzinfo=UTC)


def a_cell(n: int) -> WeatherCell:
    return WeatherCell.objects.create(
        latitude=38.445, longitude=round(-121 + 0.03 * n, 3), elevation_m=10, timezone=TIMEZONE
    )


def _log(c: Cast, n: int) -> LogEntry:
    return LogEntry.objects.create(
        user=person(f"log{n}@bluestem.test"),
        content_type=ContentType.objects.order_by("pk")[n % 7],
        object_id=str(n),
        object_repr=f"Row {n}",
        action_flag=CHANGE,
        change_message="Said.",
    )


def _task(c: Cast, n: int) -> PeriodicTask:
    every = IntervalSchedule.objects.create(every=100 + n, period="hours")
    return PeriodicTask.objects.create(name=f"Task {n}", task="weather.rebuild_normals", interval=every)


ALL: dict[type[Any], Maker] = {
    **MAKERS,
    WeatherCell: lambda c, n: a_cell(n),
    ObservedDay: lambda c, n: ObservedDay.objects.create(cell=a_cell(n), date=TODAY - timedelta(days=n)),
    ForecastDay: lambda c, n: ForecastDay.objects.create(cell=a_cell(n), date=TODAY, issued_at=NOW),
    FetchDay: lambda c, n: FetchDay.objects.create(cell=a_cell(n), date=TODAY),
    MonthlyNormal: lambda c, n: MonthlyNormal.objects.create(cell=a_cell(n), month=7, reference_et_mm=6),
    SourceUsage: lambda c, n: SourceUsage.objects.create(
        source=f"s{n}", window="day", window_start=NOW - timedelta(days=n)
    ),
    Group: lambda c, n: Group.objects.create(name=f"Group {n}"),
    AuthToken: lambda c, n: AuthToken.objects.create(user=person(f"token{n}@bluestem.test"))[0],
    AccessAttempt: lambda c, n: AccessAttempt.objects.create(
        username=f"x{n}@bluestem.test", ip_address="127.0.0.1", failures_since_start=1
    ),
    AccessLog: lambda c, n: AccessLog.objects.create(username=f"x{n}", ip_address="127.0.0.1"),
    AccessFailureLog: lambda c, n: AccessFailureLog.objects.create(username=f"x{n}", ip_address="127.0.0.1"),
    LogEntry: _log,
    PeriodicTask: _task,
    IntervalSchedule: lambda c, n: IntervalSchedule.objects.create(every=500 + n, period="hours"),
    ClockedSchedule: lambda c, n: ClockedSchedule.objects.create(clocked_time=NOW + timedelta(days=n)),
    CrontabSchedule: lambda c, n: CrontabSchedule.objects.create(minute=str(n % 60)),
    SolarSchedule: lambda c, n: SolarSchedule.objects.create(event="sunrise", latitude=n / 10, longitude=0),
}

# Rows shown inside the page of another, hung on the same one: (page, rows) and how to make one more.
INSIDE: dict[tuple[type[Any], type[Any]], Maker] = {
    (Client, ClientAccess): MAKERS[ClientAccess],
    (Company, Membership): MAKERS[Membership],
    (User, Membership): lambda c, n: Membership.objects.create(
        user=c.owner, company=MAKERS[Company](c, n), role="office"
    ),
    (User, ClientAccess): lambda c, n: ClientAccess.objects.create(user=c.owner, client=MAKERS[Client](c, n)),
    (Site, WaterSource): lambda c, n: WaterSource.objects.create(site=c.site, name=f"Tap {n}"),
    (Program, ZoneRun): lambda c, n: ZoneRun.objects.create(
        program=c.program, zone=a_zone(c.controller, n), minutes=9
    ),
    (Change, ChangeEvent): lambda c, n: ChangeEvent.objects.create(
        change=c.change, to_status="pending", by=person(f"by{n}@bluestem.test")
    ),
    (Change, Delivery): lambda c, n: Delivery.objects.create(change=c.change, channel=f"way {n}"),
    (NightlyRun, NightlyRunCompany): lambda c, n: NightlyRunCompany.objects.create(
        run=c.run, company=MAKERS[Company](c, n)
    ),
}
THE_ONE: dict[type[Any], str] = {
    Client: "client", Company: "company", User: "owner", Site: "site", Program: "program", Change: "change",
    NightlyRun: "run",
}  # fmt: skip

__all__ = ["ALL", "INSIDE", "MORNING", "NOW", "THE_ONE", "a_cell"]
