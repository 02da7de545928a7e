"""What comes next at some clients: visits, what is broken, rules that change, percents not yet entered."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from fleet.models import Finding, Visit
from scheduling.models import Change

Line = dict[str, Any]
AHEAD_DAYS = 45


def coming_of(client_ids: Sequence[int], *, on: date) -> dict[int, list[Line]]:
    """Return for each client what is planned from ``on`` and what waits to be mended, in three queries."""
    coming: dict[int, list[Line]] = {pk: [] for pk in client_ids}
    visits = (
        Visit.objects.filter(
            site__client__in=client_ids,
            date__gte=on,
            date__lte=on + timedelta(days=AHEAD_DAYS),
            done_at=None,
        )
        .select_related("site")
        .order_by("date", "pk")
    )
    for visit in visits:
        coming[visit.site.client_id].append(
            {
                "kind": "visit",
                "site": visit.site.name,
                "what": visit.get_kind_display(),
                "on": visit.date.isoformat(),
            }
        )
    broken = (
        Finding.objects.filter(zone__controller__site__client__in=client_ids, status=Finding.Status.OPEN)
        .select_related("zone__controller__site")
        .order_by("found_on", "pk")
    )
    for finding in broken:
        site = finding.zone.controller.site
        coming[site.client_id].append(
            {
                "kind": "broken",
                "site": site.name,
                "zone": f"{finding.zone.number} {finding.zone.name}",
                "what": finding.part,
                "lost_l_day": finding.lost_l_day,
                "on": finding.found_on.isoformat(),
            }
        )
    waiting = Change.objects.filter(
        program__controller__site__client__in=client_ids, status=Change.Status.APPROVED
    ).select_related("program__controller__site")
    counted: dict[tuple[int, str], int] = {}
    for change in waiting:
        site = change.program.controller.site
        counted[site.client_id, site.name] = counted.get((site.client_id, site.name), 0) + 1
    for (client, name), count in sorted(counted.items()):
        coming[client].append({"kind": "to_enter", "site": name, "count": count})
    return coming
