"""What a zone's need is multiplied by, day by day: its trim, its site's correction, the cut of a stage."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

Mark = tuple[int, date, float]
Cut = tuple[int, date, date | None, float]
Since = list[tuple[date, float]]


def need_factors(
    trims: Iterable[Mark],
    cuts: Iterable[Cut],
    *,
    on: date,
    corrections: Iterable[Mark] = (),
    site_of: Mapping[int, int] | None = None,
) -> list[Mark]:
    """Return (zone, day, factor) by day: from that day until the zone's next the need is multiplied by it.

    Parameters
    ----------
    trims
        (zone, from, factor), each until the zone's next.
    cuts
        (zone, from, to, factor), both ends included, open where ``to`` is None.
    on
        Nothing after this day is told.
    corrections
        (site, from, factor) of reference ET, each until the site's next.
    site_of
        The site of every zone a correction is to reach.
    """
    trimmed, cut, of_site = defaultdict(list), defaultdict(list), defaultdict(list)
    for zone, since, factor in trims:
        trimmed[zone].append((since, factor))
    for zone, since, until, factor in cuts:
        cut[zone].append((since, until, factor))
    for site, since, factor in corrections:
        of_site[site].append((since, factor))
    corrected = {zone: of_site[site] for zone, site in (site_of or {}).items() if site in of_site}
    marks: list[Mark] = []
    for zone in {**trimmed, **corrected, **cut}:
        own, site_own, held = trimmed.get(zone, []), corrected.get(zone, []), cut.get(zone, [])
        days = {since for since, _ in own} | {since for since, _ in site_own}
        days |= {since for since, _, _ in held}
        days |= {until + timedelta(days=1) for _, until, _ in held if until is not None}
        for day in days:
            share = next((f for a, b, f in held if a <= day and (b is None or day <= b)), 1.0)
            marks.append((zone, day, in_force(own, day) * in_force(site_own, day) * share))
    return sorted((mark for mark in marks if mark[1] <= on), key=lambda mark: mark[1])


def in_force(since: Since, day: date) -> float:
    """Return the factor that holds on a day: the latest begun, 1 before the first."""
    return max((one for one in since if one[0] <= day), default=(day, 1.0), key=lambda one: one[0])[1]
