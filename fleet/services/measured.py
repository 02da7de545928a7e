"""What was measured at a zone goes into its survey, and can be put back as long as nobody surveyed since."""

from typing import Any

from common.errors import MovedOn
from fleet.models import Zone
from fleet.services.storing import store

RATE, EVENNESS, FLOW, AREA = "precipitation_rate_mm_h", "uniformity", "flow_l_min", "area_m2"
FIELDS = (RATE, EVENNESS, FLOW)
CHANGED = "The survey of this zone was changed again since; nothing was put back."


def take_measured(zone: Zone, **values: float) -> dict[str, Any]:
    """Write measured values into a zone's survey, inside the caller's transaction, and return what it said.

    A measured flow drops a rate that was only from a table or assumed where the area is known better than
    that: the rate then follows from flow and area, which is nearer the truth than a handbook.
    """
    fresh = Zone.objects.select_for_update().get(pk=zone.pk)
    basis = dict(fresh.basis)
    after: dict[str, Any] = dict(values)
    if FLOW in values and _table_rate(fresh) and fresh.area_m2 and basis.get(AREA, "assumed") != "assumed":
        after[RATE] = None
    before = {name: [getattr(fresh, name), basis.get(name, "")] for name in after}
    for name, value in after.items():
        _say(basis, name, "measured" if value is not None else "")
    store(fresh, fields=after | {"basis": basis}, may_set=(*FIELDS, "basis"), once="number")
    zone.refresh_from_db()
    return before


def put_back(zone: Zone, before: dict[str, Any], wrote: dict[str, Any]) -> None:
    """Let a zone's survey say again what it said before something measured was taken into it.

    Raises
    ------
    MovedOn
        If it doesn't say what was written any more.
    """
    fresh = Zone.objects.select_for_update().get(pk=zone.pk)
    wrote = dict.fromkeys(before) | wrote  # what isn't named was emptied
    if any(getattr(fresh, name) != value for name, value in wrote.items()):
        raise MovedOn(CHANGED, current_status="changed")
    basis = dict(fresh.basis)
    for name, (_, word) in before.items():
        _say(basis, name, word)
    values = {name: value for name, (value, _) in before.items()}
    store(fresh, fields=values | {"basis": basis}, may_set=(*FIELDS, "basis"), once="number")
    zone.refresh_from_db()


def _table_rate(zone: Zone) -> bool:
    return zone.precipitation_rate_mm_h is not None and zone.basis.get(RATE, "assumed") != "measured"


def _say(basis: dict[str, str], name: str, word: str) -> None:
    if word:
        basis[name] = word
    else:
        basis.pop(name, None)
