"""A watering rule in plain words: as it is written, and as it holds at one address."""

from datetime import date, time

from desk import dates
from fleet.models import Site, WateringRule
from fleet.numerics.heads import HEADS
from fleet.selectors.site_rule import needs_an_address, rule_of, side_of

Parity = WateringRule.Parity
MIDNIGHT = time(0)


def told_at(site: Site, night: date, units: str) -> str:
    """Return what the rule in force at a site says in a night; empty where none holds."""
    rule = rule_of(site, night)
    if rule is None:
        return ""
    words = told(rule, units)
    if not needs_an_address(rule) and rule.for_side is None:
        return words
    side = side_of(site)
    if side:
        return f"{side.capitalize()} address: {words[0].lower()}{words[1:]}"
    return f"{words} The house number isn't known, so what hangs on it can't be told."


def told(rule: WateringRule, units: str) -> str:
    """Return a rule in a line or two."""
    limits = [_days(rule)]
    if rule.days_per_week is not None:
        limits.append(f"{rule.days_per_week} day{'' if rule.days_per_week == 1 else 's'} a week at the most")
    limits.append(hours_told(rule, units))
    parts = [", ".join(limits)]
    if rule.exempt_heads:
        heads = [HEADS[key].name.lower() for key in rule.exempt_heads.split() if key in HEADS]
        parts.append(f"{' and '.join(heads)} exempt")
    if rule.zone_minutes:
        parts.append(f"{rule.zone_minutes} minutes a zone and watering day at the most")
    if rule.less_percent:
        parts.append(f"{rule.less_percent} % less water than before")
    if rule.season_from:
        parts.append(f"from {month_day(rule.season_from)} to {month_day(rule.season_to)}")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def hours_told(rule: WateringRule, units: str) -> str:
    """Return the hours of a rule."""
    spans = rule.hours()
    if not spans:
        return "any hour"
    if len(spans) == 1:
        (begin, end) = spans[0]
        if begin is None:
            return f"over by {dates.clock_time(end, units)}"
        if end is None:
            return f"from {dates.clock_time(begin, units)}, over by noon"
        return _span(begin, end, units)
    return " and ".join(_span(begin or MIDNIGHT, end or MIDNIGHT, units) for begin, end in spans)


def month_day(text: str) -> str:
    """Return 05-01 as May 1."""
    day = date.fromisoformat(f"2000-{text}")
    return f"{day:%B} {day.day}"


def _span(begin: time, end: time, units: str) -> str:
    if begin == MIDNIGHT:
        return f"before {dates.clock_time(end, units)}"
    if end == MIDNIGHT:
        return f"after {dates.clock_time(begin, units)}"
    return f"{dates.clock_time(begin, units)} to {dates.clock_time(end, units)}"


def _days(rule: WateringRule) -> str:
    if rule.parity == Parity.ADDRESS:
        dates_told = "odd dates at odd addresses, even dates at even ones"
    else:
        dates_told = "" if rule.parity == Parity.ANY else f"{rule.parity} dates"
    weekdays = dates.watering_days(rule.weekdays) if rule.weekdays else ""
    if rule.for_side is None and (rule.odd_weekdays or rule.even_weekdays):
        odd = dates.watering_days(rule.odd_weekdays or rule.weekdays) or "any day"
        even = dates.watering_days(rule.even_weekdays or rule.weekdays) or "any day"
        weekdays = f"odd addresses {odd}, even addresses {even}"
    return ", ".join(part for part in (weekdays, dates_told) if part) or "any day"
