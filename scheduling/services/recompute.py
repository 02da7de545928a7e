"""One change's program computed again today, to lay beside what the change was made from."""

from datetime import date
from typing import Any

from common import clock
from common.errors import Refused
from scheduling.models import Change
from scheduling.selectors.season_load import Loaded, load_season
from scheduling.services.alteration_effect import judge
from scheduling.services.decide import decide


def recompute_change(change: Change, *, on: date) -> dict[str, Any] | None:
    """Return today's inputs for the same program and kind, or None if nothing would be proposed now."""
    site = change.program.controller.site
    if site.cell_id is None:
        return None
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    if change.is_alteration:
        return _alteration(change, loaded)
    decided = decide(loaded, now=clock.moment(on, site.timezone))
    proposal = decided.proposals.get((change.program_id, change.kind))
    return proposal.inputs if proposal else None


def _alteration(change: Change, loaded: Loaded) -> dict[str, Any] | None:
    try:
        found = judge(loaded, change.program.controller, change.altered, zone=change.deciding_zone_id)
    except Refused:
        return None
    return found.inputs
