"""Readings and bills of meters, one at a time: noted, set right, taken away."""

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from common import clock
from common.errors import Refused
from fleet.models import Meter, MeterBill, MeterReading, User
from fleet.selectors.people import require_enter
from fleet.services.storing import store
from fleet.tenancy import company_id_of

READING = ("value", "reset", "note", "how", "by")
BILL = ("last", "used", "charged", "note", "by")
LONGEST = dt.timedelta(days=400)


def refuse_to_come(meter: Meter, day: dt.date, *, field: str) -> None:
    """Raise Refused for a day still to come where the meter is."""
    if day > clock.today(meter.site.timezone):
        raise Refused("That day is still to come.", field=field)


def refuse_reading_to_come(meter: Meter, moment: dt.datetime, *, field: str = "read_at") -> None:
    """Raise Refused for a moment of a day still to come where the meter is."""
    refuse_to_come(meter, moment.astimezone(ZoneInfo(meter.site.timezone)).date(), field=field)


@transaction.atomic
def note_reading(*, meter: Meter, by: User, read_at: dt.datetime, value: float, **said: Any) -> MeterReading:
    """Store what a register showed; readings may come late and in any order.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If there is a reading of this moment, or the day is still to come.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(meter))
    refuse_reading_to_come(meter, read_at)
    reading = MeterReading(meter=meter, read_at=read_at)
    store(reading, fields={"value": value, **said, "by": by}, may_set=READING, once="read_at")
    return reading


@transaction.atomic
def edit_reading(*, reading: MeterReading, by: User, **fields: Any) -> MeterReading:
    """Set a reading right; it stays with its meter and moment. Raises as ``note_reading``."""
    require_enter(by, company_id_of(reading))
    store(reading, fields=fields | {"by": by}, may_set=READING, once="read_at")
    return reading


@transaction.atomic
def remove_reading(*, reading: MeterReading, by: User) -> None:
    """Take a reading away that never was; the back office keeps what it said."""
    require_enter(by, company_id_of(reading))
    reading.delete()


@transaction.atomic
def note_bill(
    *, meter: Meter, by: User, first: dt.date, last: dt.date, used: float, **said: Any
) -> MeterBill:
    """Store what a bill says was used from its first to its last day.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If a bill begins on this day already, the days are still to come or more than a year apart.
    ValidationError
        If a value can't be.
    """
    require_enter(by, company_id_of(meter))
    bill = MeterBill(meter=meter, first=first)
    _checked(bill, last)
    store(bill, fields={"last": last, "used": used, **said, "by": by}, may_set=BILL, once="first")
    return bill


@transaction.atomic
def edit_bill(*, bill: MeterBill, by: User, **fields: Any) -> MeterBill:
    """Set a bill right; it stays with its meter and first day. Raises as ``note_bill``."""
    require_enter(by, company_id_of(bill))
    _checked(bill, fields.get("last", bill.last))
    store(bill, fields=fields | {"by": by}, may_set=BILL, once="first")
    return bill


@transaction.atomic
def remove_bill(*, bill: MeterBill, by: User) -> None:
    """Take a bill away that never was; the back office keeps what it said."""
    require_enter(by, company_id_of(bill))
    bill.delete()


def _checked(bill: MeterBill, last: dt.date) -> None:
    if bill.first is None or last is None:
        raise Refused("A bill has a first and a last day.", field="first" if bill.first is None else "last")
    refuse_to_come(bill.meter, last, field="last")
    if last - bill.first > LONGEST:
        raise Refused("A bill of more than 400 days; look at the dates again.", field="last")
