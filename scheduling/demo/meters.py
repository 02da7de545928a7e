"""The demo's water meters: bills of two years, readings and hours that follow from what was applied.

All invented, and marked so. One register starts over, one meter was replaced, one tells a leak by the hour.
"""

import random
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from common.months import month_after
from fleet.models import Meter, MeterBill, MeterHour, MeterReading, Site
from scheduling.demo.applied import hourly_l, pipes_of
from scheduling.demo.dates import Calendar
from scheduling.demo.rows import Rows
from scheduling.demo.tables import Row, by_key, number, table

YEARS = 2
NOISE = 0.04  # of a day
LEAK_BEGAN_BEFORE_DAYS = 6  # it was found
READ_AT = ("07:40", "08:25", "10:05", "13:30")


def add_meters(rows: Rows) -> None:
    """Store meters and what they counted until the morning of the demo."""
    for row in table("meters"):
        _add(row, rows)


def _add(row: Row, rows: Rows) -> None:
    site = rows.sites[row["site"]]
    meter = Meter.objects.create(
        site=site,
        source=rows.sources[row["site"]] if row["source"] else None,
        name=row["name"],
        serial_number=row["serial"],
        unit=row["unit"],
        rolls_over_at=number(row["rolls_over_at"]),
        mixed=bool(row["mixed"]),
        note=row["note"],
    )
    taken_over = rows.calendar.ago(int(by_key("sites")[row["site"]]["taken_over_days_ago"]))
    first = taken_over - timedelta(days=366 * YEARS)
    daily = _daily_l(row, site, rows, first)
    bills = list(_bills(row, meter, daily, first, rows.calendar, taken_over))
    MeterBill.objects.bulk_create(bills)
    if row["read_every_days"]:
        MeterReading.objects.bulk_create(_readings(row, meter, daily, first, rows, taken_over))
    if row["hours_days"]:
        MeterHour.objects.bulk_create(_hours(row, meter, site, rows))


def _daily_l(row: Row, site: Site, rows: Rows, first: date) -> NDArray[np.float64]:
    """Return the litres of each day from ``first`` to yesterday, (days,). [L]"""
    pipes = pipes_of(site, first=first, last=rows.calendar.ago(1))
    chance = random.Random(f"meter {row['serial']}")
    litres = pipes.daily_l * [1.0 + chance.gauss(0.0, NOISE) for _ in range(len(pipes.counts))]
    indoor = number(row["indoor_l_day"]) or 0.0
    litres += [max(0.0, indoor * (1.0 + chance.gauss(0.0, 0.2))) for _ in litres]
    lost, since = _leak(row, rows)
    litres[max((since - first).days, 0) :] += lost
    return np.asarray(np.maximum(litres, 0.0))


def _leak(row: Row, rows: Rows) -> tuple[float, date]:
    """Return what is lost a day through findings that are open at a site, and since when."""
    for found in table("findings"):
        site = by_key("controllers")[found["controller"]]["site"]
        if site == row["site"] and found["status"] == "open" and row["hours_days"]:
            began = rows.calendar.ago(int(found["days_ago"]) + LEAK_BEGAN_BEFORE_DAYS)
            return number(found["lost_l_day"]) or 0.0, began
    return 0.0, rows.calendar.on


def _bills(
    row: Row, meter: Meter, daily: NDArray[np.float64], first: date, calendar: Calendar, taken_over: date
) -> Iterator[MeterBill]:
    """Yield bills by the calendar month, or by as many days as the supplier's reader takes."""
    end = calendar.on if row["billed_until_now"] else taken_over
    begin = month_after(first) if row["bill_days"] == "month" else first + timedelta(days=11)
    while True:
        after = (
            month_after(begin) if row["bill_days"] == "month" else begin + timedelta(int(row["bill_days"]))
        )
        if after > end:
            return
        litres = float(daily[(begin - first).days : (after - first).days].sum())
        used = _rounded(litres / meter.l_per_unit, row)
        yield MeterBill(
            meter=meter,
            first=begin,
            last=after - timedelta(days=1),
            used=used,
            noted_at=calendar.moment(min(after, calendar.on), READ_AT[0]),
        )
        begin = after


def _readings(
    row: Row, meter: Meter, daily: NDArray[np.float64], first: date, rows: Rows, taken_over: date
) -> Iterator[MeterReading]:
    """Yield what the technician read from the take-over on; a replaced meter begins at nothing."""
    calendar, register = rows.calendar, float(row["starts_at"])
    replaced = calendar.ago(int(row["replaced_days_ago"])) if row["replaced_days_ago"] else None
    day, before = taken_over, taken_over
    for n in range(10_000):
        if day >= calendar.on:
            return
        register += float(daily[(before - first).days : (day - first).days].sum()) / meter.l_per_unit
        reset = replaced is not None and before < replaced <= day
        if reset and replaced is not None:
            register = float(daily[(replaced - first).days : (day - first).days].sum()) / meter.l_per_unit
        end = meter.rolls_over_at
        register = register % end if end else register
        yield MeterReading(
            meter=meter,
            read_at=calendar.moment(day, READ_AT[n % len(READ_AT)]),
            value=_rounded(register, row),
            reset=reset,
            note="The supplier has put a new meter in." if reset else "",
            by=rows.people["tech"],
            noted_at=calendar.moment(day, READ_AT[n % len(READ_AT)]),
        )
        before, day = day, day + timedelta(days=int(row["read_every_days"]))


def _hours(row: Row, meter: Meter, site: Site, rows: Rows) -> Iterator[MeterHour]:
    """Yield use by the hour: runs as programmed, and what a leak loses all day, seen at night."""
    days = int(row["hours_days"])
    pipes = pipes_of(site, first=rows.calendar.ago(days), last=rows.calendar.on)
    lost, since = _leak(row, rows)
    chance = random.Random(f"hours {row['serial']}")
    for ago in range(days, 0, -1):
        day = rows.calendar.ago(ago)
        hours = hourly_l(pipes, day)
        for hour in range(24):
            litres = float(hours[hour]) * (1.0 + chance.gauss(0.0, NOISE))
            litres += lost / 24.0 * (1.0 + chance.gauss(0.0, 0.05)) if day >= since else 0.0
            begins_at = rows.calendar.moment(day, f"{hour:02}:00")
            yield MeterHour(meter=meter, begins_at=begins_at, used_l=round(max(litres, 0.0), 1))


def _rounded(value: float, row: Row) -> float:
    """Return a number as fine as the register shows it."""
    step = float(row["step"])
    return round(int(value / step) * step, 6)
