"""Look at what meters counted, after a night: keep what nothing explains, once, until somebody says why."""

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Any

import numpy as np
from django.db import transaction
from django.utils import timezone as real_time
from numpy.typing import NDArray

from common.errors import Refused
from fleet.models import Meter, User, Zone
from fleet.selectors.meter_use import spans_of
from fleet.selectors.people import require_enter
from fleet.services.holding import held
from fleet.tenancy import company_id_of
from reports.models import UseAlert
from reports.numerics.use_alerts import (
    ZoneFlow,
    idle_litres,
    is_beyond,
    is_flow_off,
    is_idle_use,
    whole_flow,
    zone_flows,
)
from reports.selectors.metered.valves import Due, due_at
from reports.selectors.use import site_use

log = logging.getLogger(__name__)

LOOK_BACK = 14  # days
QUIET = timedelta(days=14)  # so long over, it is another story
SPAN_DAYS = (5, 70)  # readings and bills so long are looked at
WHY_MAX = 200


@dataclass(frozen=True)
class Found:
    """Something to look at, with its evidence."""

    meter: Meter
    kind: str
    first: date
    last: date
    litres: float
    evidence: dict[str, Any]
    zone: Zone | None = None


def look_at_use(*, on: date, timezone: str) -> int:
    """Look at the meters of a timezone's sites on the morning of ``on``; return how many alerts are new.

    A meter that serves indoors too is left out: nobody knows when people shower. So is one where a zone is
    watered by other hands just now, or whose zones' flows aren't known.
    """
    meters = Meter.objects.filter(site__timezone=timezone, mixed=False)
    new, listed = 0, list(meters.select_related("site__client__company").order_by("site", "pk"))
    by_hour: set[int] = set()
    for due in due_at(listed, first=on - timedelta(days=LOOK_BACK), last=on - timedelta(days=1)):
        by_hour.add(due.meter.pk)
        new += _each(due.meter, partial(_by_hour, due), on=on)
    for meter in listed:
        if meter.pk not in by_hour:
            new += _each(meter, partial(_by_span, meter, on=on), on=on)
    return new


def _each(meter: Meter, look: Callable[[], Iterator[Found]], *, on: date) -> int:
    """Keep what is found at one meter; a fault there stops no other."""
    try:
        return sum([_keep(one, on=on) for one in list(look())])
    except Exception:
        log.exception("The use at meter %s could not be looked at.", meter.pk)
        return 0


def _by_hour(due: Due) -> Iterator[Found]:
    if due.sure and due.zones:
        yield from _idle(due)
        yield from _flows(due)


def _idle(due: Due) -> Iterator[Found]:
    """Find the days on which water flowed in hours no valve was due."""
    idle = idle_litres(due.used_l, due=due.due, day_of_bin=due.day_of_bin, days=due.days)
    by_day = np.bincount(due.day_of_bin, weights=due.expected_l.sum(axis=1), minlength=due.days)
    used = np.bincount(due.day_of_bin, weights=due.used_l, minlength=due.days)
    usual = float(np.median(by_day[by_day > 0])) if (by_day > 0).any() else 0.0
    for start, stop in _runs(is_idle_use(idle, usual_l=usual)):
        first, last = (due.first + timedelta(days=n) for n in (start, stop))
        days = [
            {
                "day": (due.first + timedelta(days=n)).isoformat(),
                "used_l": round(float(used[n]), 1),
                "due_l": round(float(by_day[n]), 1),
                "idle_l": round(float(idle[n]), 1),
            }
            for n in range(start, stop + 1)
        ]
        litres = float(idle[start : stop + 1].sum())
        yield Found(due.meter, UseAlert.Kind.IDLE, first, last, litres, {"days": days})


def _flows(due: Due) -> Iterator[Found]:
    """Find zones that take more or less than they should, or else all of them together."""
    nights = due.days + 1
    last = due.first + timedelta(days=due.days - 1)
    flows = zone_flows(due.used_l, due.expected_l, night_of_bin=due.night_of_bin, nights=nights)
    told: list[tuple[Zone | None, ZoneFlow, bool, float]] = [
        (zone, flow, _tested(zone), float(due.expected_l[:, place].sum()))
        for place, (zone, flow) in enumerate(zip(due.zones, flows, strict=True))
    ]
    off = [one for one in told if is_flow_off(one[1], tested=one[2])]
    if not off:
        whole = whole_flow(due.used_l, due.expected_l, night_of_bin=due.night_of_bin, nights=nights)
        tested = all(_tested(zone) for zone in due.zones)
        off = (
            [(None, whole, tested, float(due.expected_l.sum()))] if is_flow_off(whole, tested=tested) else []
        )
    for zone, flow, tested, expected in off:
        evidence = {"ratio": round(flow.ratio, 3), "nights": flow.nights, "tested": tested}
        litres = (flow.ratio - 1.0) * expected
        yield Found(due.meter, UseAlert.Kind.FLOW, due.first, last, litres, evidence, zone)


def _tested(zone: Zone) -> bool:
    """Tell whether a zone's flow was measured."""
    return bool(zone.flow_l_min) and zone.basis.get("flow_l_min") == "measured"


def _runs(flagged: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the first and last of each run of flagged days; one quiet day between doesn't end it."""
    found: list[tuple[int, int]] = []
    for day in np.flatnonzero(flagged).tolist():
        if found and day - found[-1][1] <= 2:
            found[-1] = found[-1][0], day
        else:
            found.append((day, day))
    return found


def _by_span(meter: Meter, *, on: date) -> Iterator[Found]:
    """Compare readings and bills that ended lately with what was applied, where the meter serves the site."""
    if meter.source_id is not None or meter.zones.exists() or meter.site.meters.count() > 1:
        return
    lately = on - timedelta(days=LOOK_BACK)
    for span in spans_of([meter.pk], first=lately, last=on - timedelta(days=1))[meter.pk]:
        first, last = span.begin.date(), (span.end - timedelta(hours=12)).date()
        known_from = meter.site.balance_from
        days = (span.end - span.begin).days
        if span.litres is None or span.doubt or last < lately or not SPAN_DAYS[0] <= days <= SPAN_DAYS[1]:
            continue
        if known_from is None or first <= known_from or last >= on:
            continue
        due_l = site_use(meter.site, first, last, on).estimated_l
        if due_l and is_beyond(span.litres, due_l):
            day = {"day": last.isoformat(), "used_l": round(span.litres, 1), "due_l": round(due_l, 1)}
            evidence = {"days": [day], "origin": span.origin}
            yield Found(meter, UseAlert.Kind.BEYOND, first, last, span.litres - due_l, evidence)


@transaction.atomic
def _keep(found: Found, *, on: date) -> int:
    """Store what was found, or let the row it belongs to go on; return 1 if it is new."""
    rows = UseAlert.objects.select_for_update().filter(
        meter=found.meter, kind=found.kind, zone=found.zone, last__gte=found.first - QUIET
    )
    row = rows.order_by("-last", "-pk").first()
    if row is None:
        UseAlert.objects.create(
            meter=found.meter,
            kind=found.kind,
            zone=found.zone,
            first=found.first,
            last=found.last,
            litres=found.litres,
            evidence=found.evidence,
            found_on=on,
        )
        return 1
    if found.last > row.last:
        _goes_on(row, found)
    return 0


def _goes_on(row: UseAlert, found: Found) -> None:
    if row.kind == UseAlert.Kind.FLOW:
        row.litres, row.evidence = found.litres, found.evidence
    else:
        fresh = [one for one in found.evidence["days"] if one["day"] > row.last.isoformat()]
        row.evidence = row.evidence | {"days": [*row.evidence["days"], *fresh][-60:]}
        row.litres += sum(one.get("idle_l", one["used_l"] - one["due_l"]) for one in fresh)
    row.last = found.last
    row.save(update_fields=["last", "litres", "evidence"])


def dismiss_alert(*, alert: UseAlert, by: User, why: str) -> UseAlert:
    """Put an alert aside, with the reason.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the reason is missing or too long.
    Gone
        If it is no longer there.
    """
    require_enter(by, company_id_of(alert))
    text = " ".join(why.replace("\0", " ").split())
    if not text:
        raise Refused("Say why, for the next person.", field="why")
    if len(text) > WHY_MAX:
        raise Refused(f"{WHY_MAX} characters at the most.", field="why")
    with transaction.atomic():
        row = held(alert)
        row.dismissed_at, row.dismissed_by, row.dismissed_why = real_time.now(), by, text
        row.save(update_fields=["dismissed_at", "dismissed_by", "dismissed_why"])
    return row


def show_alert_again(*, alert: UseAlert, by: User) -> UseAlert:
    """Take a dismissal back. Raises NotAllowed and Gone as ``dismiss_alert``."""
    require_enter(by, company_id_of(alert))
    with transaction.atomic():
        row = held(alert)
        row.dismissed_at, row.dismissed_by, row.dismissed_why = None, None, ""
        row.save(update_fields=["dismissed_at", "dismissed_by", "dismissed_why"])
    return row
