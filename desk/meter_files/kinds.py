"""What a table of a meter may hold, what its columns may mean, and how both are guessed from its head."""

from collections.abc import Sequence
from dataclasses import dataclass

from common.units import L_PER_CCF, L_PER_METER_UNIT
from desk.set_up.columns import simple
from desk.set_up.matching import IGNORED, Meaning
from desk.set_up.tables import Limits

READINGS, BILLS, HOURS = "readings", "bills", "hours"
LIMITS = Limits(lines=50_001, bytes=8_000_000, unpacked=120_000_000, rows="rows")
L_PER_UNIT = L_PER_METER_UNIT | {"ft3": L_PER_CCF / 100.0}
UNITS = (
    ("gal", "gallons"),
    ("kgal", "1,000 gallons"),
    ("ccf", "CCF (100 cubic feet)"),
    ("ft3", "cubic feet"),
    ("m3", "cubic metres"),
    ("l", "litres"),
)
KINDS = (
    (READINGS, "what the register showed"),
    (BILLS, "bills"),
    (HOURS, "use by the hour"),
)
ORDERS = (("mdy", "month/day/year"), ("dmy", "day/month/year"))
CLOCKS = (
    ("local", "local, with summer time"),
    ("standard", "standard time all year"),
)
ENDS = (("begin", "when an interval begins"), ("end", "when it ends"))
LENGTHS = (
    ("", "as the times are apart"),
    ("15", "15 minutes"),
    ("30", "30 minutes"),
    ("60", "an hour"),
    ("1440", "a day"),
)


@dataclass(frozen=True)
class Column:
    """What a column may mean, and heads that say so, letters and figures alone."""

    key: str
    words: str
    heads: tuple[str, ...]


METER = Column(
    "meter",
    "Meter, by number or name",
    ("meter", "meterno", "meternumber", "meterid", "meterserial", "serial", "serialno", "serialnumber"),
)
DAY = Column("day", "Date", ("date", "day", "readdate", "readingdate", "readon"))
TIME = Column("time", "Time of day", ("time", "timeofday", "hour", "readtime"))
WHEN = Column(
    "when",
    "Date and time",
    ("datetime", "dateandtime", "datetimelocal", "timestamp", "readat", "when", "begins", "beginsat", "start",
     "starttime", "intervalstart", "from", "interval", "localtime"),
)  # fmt: skip
USED = Column(
    "used",
    "Used",
    ("used", "use", "usage", "consumption", "volume", "quantity", "wateruse", "waterused", "total",
     "gallons", "gal", "kgal", "ccf", "hcf", "m3", "litres", "liters", "cubicfeet", "cf"),
)  # fmt: skip
NOTE = Column("note", "Note", ("note", "notes", "remark", "remarks", "comment"))
COLUMNS: dict[str, tuple[Column, ...]] = {
    READINGS: (
        METER, WHEN, DAY, TIME,
        Column("value", "Reading", ("reading", "read", "value", "register", "registerreading", "meterreading",
                                    "index", "currentreading", "current")),
        Column("reset", "Counts anew from here (yes)", ("reset", "replaced", "newmeter", "countsanew")),
        NOTE,
    ),
    BILLS: (
        METER,
        Column("first", "First day", ("first", "firstday", "from", "fromdate", "start", "startdate", "begin",
                                      "periodstart", "servicefrom", "billstart")),
        Column("last", "Last day", ("last", "lastday", "to", "todate", "end", "enddate", "periodend",
                                    "serviceto", "billend", "date", "readdate", "readingdate")),
        USED,
        Column("charged", "Charged", ("charged", "charge", "charges", "watercharge", "watercharges", "amount",
                                      "cost", "billed", "amountdue")),
        NOTE,
    ),
    HOURS: (METER, WHEN, DAY, TIME, USED),
}  # fmt: skip
NEEDED = {READINGS: ("value",), BILLS: ("last", "used"), HOURS: ("used",)}
IN_HEAD = (
    ("kgal", ("kgal", "1000gal", "thousandgal")),
    ("gal", ("gal",)),
    ("ccf", ("ccf", "hcf", "100cubicfeet", "100cf", "hundredcubicfeet")),
    ("ft3", ("cubicfeet", "cubicfoot", "ft3", "cuft", "cf")),
    ("m3", ("m3", "cubicmetre", "cubicmeter")),
    ("l", ("litre", "liter")),
)


def meanings(kind: str) -> list[Meaning]:
    """Return everything a column of a kind of table may mean."""
    return [Meaning(IGNORED, "left out"), *(Meaning(one.key, one.words) for one in COLUMNS[kind])]


def guess(head: Sequence[str], kind: str) -> list[str]:
    """Return what each column means by its head, each meaning once; what isn't known is left out."""
    guessed: list[str] = []
    for words in head:
        bare = simple(words.replace("³", "3"))
        short = simple(words.replace("³", "3").partition("(")[0].partition(",")[0])
        key = next((one.key for one in COLUMNS[kind] if _names(one, bare, short)), IGNORED)
        guessed.append(key if key not in guessed else IGNORED)
    if "time" in guessed and not {"when", "day"} & set(guessed):
        guessed[guessed.index("time")] = "when"  # no date beside it, so it has the date too
    return guessed


def _names(column: Column, bare: str, short: str) -> bool:
    """Tell whether a head names a column, perhaps with a unit behind it."""
    if bare in column.heads or short in column.heads:
        return True
    ends = [bare.removeprefix(head).rstrip("s") for head in column.heads if bare.startswith(head)]
    units = [name for _, names in IN_HEAD for name in names]
    return any(name.startswith(end) or end.startswith(name) for end in ends if end for name in units)


def guess_kind(head: Sequence[str]) -> str:
    """Return what a table holds by its head: bills name two days or a charge, hours a time and a use."""
    bills, hours = guess(head, BILLS), guess(head, HOURS)
    if "value" in guess(head, READINGS):
        return READINGS
    if "charged" in bills or {"first", "last"} <= set(bills):
        return BILLS
    if "used" in hours and {"when", "time"} & set(hours):
        return HOURS
    return BILLS if "used" in bills else READINGS


def guess_unit(head: Sequence[str], otherwise: str) -> str:
    """Return the unit a head names, else the meter's."""
    told = [simple(words.replace("³", "3")) for words in head]
    for unit, names in IN_HEAD:
        if any(name in words for words in told for name in names):
            return unit
    return otherwise
