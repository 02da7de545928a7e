"""One change's program computed again today, to lay beside what the change was made from."""

from datetime import date
from typing import Any

from common import clock
from scheduling.models import Change
from scheduling.selectors.season_load import load_season
from scheduling.services.decide import decide


def recompute_change(change: Change, *, on: date) -> dict[str, Any] | None:
    """Return today's inputs for the same program and kind, or None if nothing would be proposed now."""
    site = change.program.controller.site
    if site.cell_id is None:
        return None
    loaded = load_season([site.pk], on=on, timezone=site.timezone)
    decided = decide(loaded, now=clock.moment(on, site.timezone))
    proposal = decided.proposals.get((change.program_id, change.kind))
    return proposal.inputs if proposal else None
