"""What valves behind a meter were due in each of its intervals, by the programs in force."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from fleet.models import Controller, Meter, MeterHour, Site, Zone, ZoneEpisode
from reports.selectors.metered.need import zones_behind
from scheduling.selectors.held import Held, held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Event, flow_of, simulate

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MARGIN_S = 45 * 60  # clocks of controllers and meters differ, and a program begins late behind another


@dataclass(frozen=True)
class Due:
    """A meter's intervals of some days beside what its zones were due in them."""

    meter: Meter
    first: date
    days: int
    zones: list[Zone]
    used_l: Floats  # (bins,)
    expected_l: Floats  # (bins, zones)
    due: NDArray[np.bool_]  # (bins,) a valve was due, or nearly
    day_of_bin: Ints
    night_of_bin: Ints  # nights begin at noon; 0 is the one before the first day
    sure: bool  # no zone is watered by other hands, every flow is known


def due_at(meters: Sequence[Meter], *, first: date, last: date) -> list[Due]:
    """Return the intervals of those meters of one timezone that have any, in a fixed number of queries.

    ``meters`` come with their site.
    """
    if not meters:
        return []
    timezone = meters[0].site.timezone
    begin = datetime.combine(first, datetime.min.time(), tzinfo=ZoneInfo(timezone))
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), tzinfo=ZoneInfo(timezone))
    rows = MeterHour.objects.filter(meter__in=meters, begins_at__gte=begin, begins_at__lt=end)
    told = rows.order_by("meter", "begins_at").values_list("meter", "begins_at", "minutes", "used_l")
    by_meter = {pk: list(own) for pk, own in groupby(told, key=lambda row: row[0])}
    with_rows = [meter for meter in meters if meter.pk in by_meter]
    if not with_rows:
        return []
    zones = zones_behind(with_rows)
    sites = {meter.site_id for meter in with_rows}
    boxes = Controller.objects.filter(site__in=sites)
    controllers = list(boxes.select_related("site__watering_rule", "site__town", "source"))
    held = held_by(controllers, first=first - timedelta(days=1), last=last)
    events: dict[int, list[Event]] = {
        site: list(_events([one for one in controllers if one.site_id == site], held, first, last))
        for site in sites
    }
    away = set(
        ZoneEpisode.objects.filter(zone__controller__site__in=sites, effective_from__lte=last)
        .exclude(kind=ZoneEpisode.Kind.OFF, effective_to__gte=last)
        .exclude(effective_to__lt=first - timedelta(days=1))
        .values_list("zone_id", flat=True)
    )
    return [
        _due(meter, by_meter[meter.pk], zones[meter.pk], events[meter.site_id], away, first=first, last=last)
        for meter in with_rows
    ]


def _events(controllers: Sequence[Controller], held: Held, first: date, last: date) -> Iterator[Event]:
    night = first - timedelta(days=1)
    while night <= last:
        for box in controllers:
            if box.site.season != Site.Season.CLOSED:
                clock = NightClock(night, box.site.timezone)
                yield from simulate([held.box(box, night)], clock=clock, supply_l_min=None).events
        night += timedelta(days=1)


def _due(
    meter: Meter,
    rows: Sequence[tuple[int, datetime, int, float]],
    zones: list[Zone],
    events: Sequence[Event],
    away: set[int],
    *,
    first: date,
    last: date,
) -> Due:
    zone_info = ZoneInfo(meter.site.timezone)
    begins = np.array([row[1].timestamp() for row in rows])
    ends = begins + np.array([row[2] * 60.0 for row in rows])
    place = {zone.pk: n for n, zone in enumerate(zones)}
    expected = np.zeros((begins.size, len(zones)))
    due = np.zeros(begins.size, dtype=bool)
    for event in events:
        if event.zone.pk not in place:
            continue
        start, stop = event.start.timestamp(), event.end.timestamp()
        overlap = np.clip(np.minimum(ends, stop) - np.maximum(begins, start), 0.0, None) / 60.0
        expected[:, place[event.zone.pk]] += overlap * (event.flow_l_min or 0.0)
        due |= (ends > start - MARGIN_S) & (begins < stop + MARGIN_S)
    local = [row[1].astimezone(zone_info) for row in rows]
    return Due(
        meter=meter,
        first=first,
        days=(last - first).days + 1,
        zones=zones,
        used_l=np.array([row[3] for row in rows], dtype=np.float64),
        expected_l=expected,
        due=due,
        day_of_bin=np.array([(one.date() - first).days for one in local], dtype=np.intp),
        night_of_bin=np.array(
            [((one - timedelta(hours=12)).date() - first).days + 1 for one in local], dtype=np.intp
        ),
        sure=not away & set(place) and all(flow_of(zone) is not None for zone in zones),
    )
