"""What a zone's need is multiplied by, day by day: its trim, and the cut of its town's stage."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

Mark = tuple[int, date, float]
Cut = tuple[int, date, date | None, float]


def need_factors(trims: Iterable[Mark], cuts: Iterable[Cut], *, on: date) -> list[Mark]:
    """Return (zone, day, factor) by day: from that day until the zone's next the need is multiplied by it.

    Parameters
    ----------
    trims
        (zone, from, factor), each until the zone's next.
    cuts
        (zone, from, to, factor), both ends included, open where ``to`` is None.
    on
        Nothing after this day is told.
    """
    trimmed, cut = defaultdict(list), defaultdict(list)
    for zone, since, factor in trims:
        trimmed[zone].append((since, factor))
    for zone, since, until, factor in cuts:
        cut[zone].append((since, until, factor))
    marks: list[Mark] = [(z, d, f) for z, own in trimmed.items() if z not in cut for d, f in own]
    for zone, own in cut.items():
        days = {since for since, _ in trimmed[zone]} | {since for since, _, _ in own}
        days |= {until + timedelta(days=1) for _, until, _ in own if until is not None}
        for day in days:
            trim = max((t for t in trimmed[zone] if t[0] <= day), default=(day, 1.0), key=lambda t: t[0])[1]
            held = next((f for a, b, f in own if a <= day and (b is None or day <= b)), 1.0)
            marks.append((zone, day, trim * held))
    return sorted((mark for mark in marks if mark[1] <= on), key=lambda mark: mark[1])
