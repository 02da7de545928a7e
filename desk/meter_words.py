"""Meters, readings and doubts in words."""

from datetime import datetime
from zoneinfo import ZoneInfo

from desk import dates, figures
from fleet.models import Meter
from fleet.selectors.reading_check import ReadingCheck

UNITS = {"gal": "gal", "kgal": "kgal", "ccf": "CCF", "m3": "m³", "l": "L"}


def register(value: float | None, meter: Meter) -> str:
    """Return what a register shows, in its own unit, no finer than it was written down."""
    if value is None:
        return figures.DASH
    return f"{value:,.3f}".rstrip("0").rstrip(".") + f"{figures.NBSP}{UNITS[meter.unit]}"


def covers(meter: Meter) -> str:
    """Return what hangs on a meter; the zones must be read already."""
    zones = list(meter.zones.all())
    if zones:
        what = f"zone{'' if len(zones) == 1 else 's'} {', '.join(map(str, zones))}"
    elif meter.source is not None:
        what = f"all that {meter.source} gives"
    else:
        what = "all of the site's water"
    return f"{what}; indoor use too" if meter.mixed else what


def since(check: ReadingCheck, meter: Meter, units: str) -> str:
    """Return the use since the reading before."""
    if check.before is None:
        return "This is the first reading; use is counted from the next on."
    when = dates.moment(check.before.read_at, meter.site.timezone, units)
    if check.used_l is None:
        return f"How much was used since {when} isn't known."
    a_day = f", {figures.water(check.l_day, units)} a day" if check.days >= 1 else ""
    return f"{figures.water(check.used_l, units)} used since {when}{a_day}."


def asked(check: ReadingCheck, meter: Meter, units: str) -> list[str]:
    """Return what somebody should look at again before a reading is kept."""
    zone, told = meter.site.timezone, []
    for doubt in check.doubts:
        if doubt == "lower" and check.before is not None:
            when = dates.moment(check.before.read_at, zone, units)
            told.append(
                f"It is lower than the {register(check.before.value, meter)} of {when}. If the meter was "
                "replaced or set back, tick that below; otherwise read it again."
            )
        elif doubt == "rolled":
            told.append(
                f"It is lower than before: the register would have started over at "
                f"{register(meter.rolls_over_at, meter)}."
            )
        elif doubt == "above" and check.after is not None:
            when = dates.moment(check.after.read_at, zone, units)
            told.append(f"It is higher than the later {register(check.after.value, meter)} of {when}.")
        elif doubt == "fast":
            told.append(
                f"That is {figures.water(check.l_day, units)} a day; so far it was "
                f"{figures.water(check.most_l_day, units)} a day at the most."
            )
    return told


def day_of(moment: datetime, meter: Meter) -> str:
    """Return the date of a moment where the meter is."""
    return moment.astimezone(ZoneInfo(meter.site.timezone)).date().isoformat()
