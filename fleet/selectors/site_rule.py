"""What a watering rule means at one site in one night; every page, search and plan asks here."""

from collections.abc import Iterable
from copy import copy
from datetime import date, time

from django.db.models import Model, QuerySet, prefetch_related_objects

from fleet.models import Site, WateringRule, Zone, ZoneEpisode
from fleet.models.rules import WEEKDAYS
from fleet.numerics.addresses import house_number

Parity = WateringRule.Parity
Addresses = WateringRule.Addresses
Hours = tuple[tuple[time | None, time | None], ...]


def with_rules(controllers: QuerySet, *, site: str = "site") -> QuerySet:
    """Load the rules rows need with them: those of their sites, and of their sites' towns; one query more."""
    return controllers.select_related(f"{site}__watering_rule", f"{site}__town").prefetch_related(
        f"{site}__town__rules"
    )


def load_rules(rows: Iterable[Model], *, site: str = "site") -> None:
    """Load the rules of rows that are read already."""
    prefetch_related_objects(list(rows), f"{site}__watering_rule", f"{site}__town__rules")


def rule_of(site: Site, night: date) -> WateringRule | None:
    """Return the rule that holds at a site in a night, told for its own address, or None.

    In a town it is the rule of the stage then in force, for the site's kind and address; else the site's own.
    ``parity`` of what is returned is any, odd or even, ``weekdays`` those of this address.
    """
    if site.town_id is None or site.town is None:
        return at_site(site, night)
    return at_stage(site, site.town.stage_on(night), night)


def at_site(site: Site, night: date) -> WateringRule | None:
    """Return the site's own rule as it holds in a night, whatever its town says."""
    rule = site.watering_rule
    return told_for(rule, side_of(site)) if rule is not None and rule.in_season(night) else None


def at_stage(site: Site, stage: int, night: date) -> WateringRule | None:
    """Return the rule a stage of the site's town puts it under in a night, or None."""
    assert site.town is not None
    side = side_of(site)
    found = [
        rule
        for rule in site.town.rules.all()
        if rule.stage == stage
        and rule.in_season(night)
        and rule.kind.casefold() in ("", site.kind.casefold())
        and rule.addresses in (Addresses.ANY, side)
    ]
    best = min(found, key=lambda r: (not r.kind, r.addresses == Addresses.ANY, r.pk), default=None)
    return told_for(best, side) if best is not None else None


def side_of(site: Site) -> str:
    """Return whether a site has an odd or an even address; empty where nobody can tell."""
    number = site.house_number if site.house_number is not None else house_number(site.address)
    if number is None:
        return ""
    return str(Addresses.ODD if number % 2 else Addresses.EVEN)


def told_for(rule: WateringRule, side: str) -> WateringRule:
    """Return a rule as it is at odd or even addresses; at one nobody can tell, without what hangs on it."""
    if not needs_an_address(rule):
        return rule
    own = copy(rule)
    own.for_side = side
    own.weekdays = {"odd": rule.odd_weekdays, "even": rule.even_weekdays}.get(side) or rule.weekdays
    if rule.parity == Parity.ADDRESS:
        own.parity = Parity(side) if side else Parity.ANY
    return own


def needs_an_address(rule: WateringRule) -> bool:
    """Tell whether a rule is another at odd and at even addresses."""
    return rule.parity == Parity.ADDRESS or bool(rule.odd_weekdays or rule.even_weekdays)


def day_allowed(rule: WateringRule | None, day: date) -> bool:
    """Tell whether a rule told for an address lets a site be watered on a date."""
    if rule is None:
        return True
    if rule.days_per_week == 0:
        return False
    if rule.weekdays and WEEKDAYS[day.weekday()] not in rule.weekdays.split():
        return False
    if rule.parity == Parity.ANY:
        return True
    return (day.day % 2 == 1) == (rule.parity == Parity.ODD)


def exempt(rule: WateringRule | None, zone: Zone) -> bool:
    """Tell whether a rule leaves a zone alone altogether: its days, hours and minutes."""
    return rule is None or rule.leaves_alone(zone.head)


def permit_on(episodes: Iterable[ZoneEpisode], night: date) -> ZoneEpisode | None:
    """Return the permit for a new planting that covers a night: no day is forbidden to that zone then.

    It covers the nights of its own dates, or all of the stretch where it names none. Its hours, where it
    names any, stand instead of the rule's.
    """
    return next(
        (
            one
            for one in episodes
            if one.kind == ZoneEpisode.Kind.GROW_IN
            and one.permit
            and one.effective_from <= night
            and (one.effective_to is None or one.effective_to >= night)
            and (one.permit_from is None or one.permit_from <= night)
            and (one.permit_to is None or one.permit_to >= night)
        ),
        None,
    )


def hours_of(rule: WateringRule | None, permit: ZoneEpisode | None = None) -> Hours:
    """Return the spans of hours a zone may be watered in, none where nothing limits them."""
    if permit is not None and (permit.permit_hours_from or permit.permit_hours_to):
        return ((permit.permit_hours_from, permit.permit_hours_to),)
    return rule.hours() if rule is not None else ()
