"""What some clients' meters say of a month: what was counted, and what was saved against earlier bills."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from common.months import last_of_month
from fleet.models import Meter, Zone
from fleet.selectors.meter_use import daily_litres
from reports.selectors.measured import MeterSavings, combined, meter_savings
from reports.selectors.metered.need import zones_behind

Told = dict[str, Any]


def meters_of_month(client_ids: Sequence[int], month: date, *, through: date) -> dict[int, Told]:
    """Return for each client with meters ``metered`` and ``measured``; as many queries for many as for few.

    ``metered`` is what all of a client's meters counted on the days all of them know, with those days, the
    sites they stand at and whether they leave out zones there (None without one such day);
    ``measured`` the saving over the bills that ended in the month (None where no meter has a
    baseline in use and such a bill). The two are never added to what is estimated.
    """
    rows = Meter.objects.filter(site__client__in=client_ids).select_related(
        "site__cell", "site__tariff", "site__client__company"
    )
    meters = list(rows.order_by("site__name", "name", "pk"))
    last = min(last_of_month(month), through)
    if not meters or last < month:
        return {}
    daily: dict[int, NDArray[np.float64]] = {}
    for timezone in sorted({meter.site.timezone for meter in meters}):
        here = [meter.pk for meter in meters if meter.site.timezone == timezone]
        daily |= daily_litres(here, first=month, last=last, timezone=timezone)
    saved = meter_savings(meters, first=month, last=last)
    in_part = _in_part(meters)
    told = {}
    for client in sorted({meter.site.client_id for meter in meters}):
        own = [meter for meter in meters if meter.site.client_id == client]
        litres = sum((daily[meter.pk] for meter in own), np.zeros((last - month).days + 1))
        told[client] = {
            "metered": _metered(litres, own, in_part),
            "measured": _measured(own, [one for one in saved if one.meter.site.client_id == client]),
        }
    return told


def _in_part(meters: Sequence[Meter]) -> set[int]:
    """Return the sites of some meters that have zones none of them counts."""
    behind = {zone.pk for zones in zones_behind(meters).values() for zone in zones}
    rows = Zone.objects.filter(controller__site__in={meter.site_id for meter in meters})
    return {site for pk, site in rows.values_list("pk", "controller__site") if pk not in behind}


def _metered(litres: NDArray[np.float64], meters: Sequence[Meter], in_part: set[int]) -> Told | None:
    known = np.isfinite(litres)
    if not known.any():
        return None
    return {
        "used_l": float(litres[known].sum()),
        "known_days": int(known.sum()),
        "days": int(litres.size),
        "mixed": any(meter.mixed for meter in meters),
        "sites": sorted({meter.site_id for meter in meters}),
        "in_part": any(meter.site_id in in_part for meter in meters),
    }


def _measured(meters: Sequence[Meter], found: Sequence[MeterSavings]) -> Told | None:
    if not found:
        return None
    total = combined(meters, found)
    return {
        "from": total.first.isoformat(),
        "through": total.last.isoformat(),
        "baseline_l": total.baseline_l,
        "used_l": total.used_l,
        "saved_l": total.saved_l,
        "uncertainty_l": total.uncertainty_l,
        "detected": total.detected,
        "cv_rmse": total.cv_rmse,
        "left_out": total.left_out,
    }
