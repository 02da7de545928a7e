"""Put a night's proposals beside what is there: new, unchanged, replaced or withdrawn."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, timedelta

from django.db import transaction

from fleet.models import Company, Site
from scheduling.models import Change, ChangeEvent, Delivery, Program
from scheduling.selectors.by_policy import passes_by_itself
from scheduling.services.decisions import approve_as
from scheduling.services.groups import INCOMPLETE, NO_WEATHER, Group
from scheduling.services.proposal import Proposal
from scheduling.services.withdrawing import standing_at

ANSWER_HOLDS_DAYS = 7  # a percent a person declined or chose otherwise isn't put before them for a week
STALE_AFTER_DAYS = 6  # a pending change older than this gets a fresh reason
Status = Change.Status


@dataclass
class Tally:
    """What came of one stretch of decision units."""

    proposed: list[Change] = dataclass_field(default_factory=list)
    unchanged: int = 0
    superseded: int = 0
    expired: int = 0
    auto_approved: int = 0


def reconcile(
    *,
    on: date,
    groups: list[Group],
    proposals: dict[tuple[int, str], Proposal],
    kinds: Iterable[str],
    run_id: int | None,
) -> Tally:
    """Store what is new about some decision units and withdraw what no longer holds.

    Parameters
    ----------
    proposals
        By lead program and kind.
    kinds
        The kinds that were computed; others are left as they are.
    """
    tally = Tally()
    leads = {group.lead.pk: group for group in groups}
    computed = set(kinds)
    with transaction.atomic():
        open_changes = _open_changes(list(leads), on=on)
        by_lead: dict[tuple[int, str], list[Change]] = {}
        for change in open_changes:
            by_lead.setdefault((change.program_id, change.kind), []).append(change)
        new: list[Proposal] = []
        for program, group in leads.items():
            if group.state in (INCOMPLETE, NO_WEATHER):
                continue  # nothing was computed: what is there stays as it is
            before = len(new)
            for kind in sorted(computed):
                found, proposal = by_lead.get((program, kind), []), proposals.get((program, kind))
                if proposal is None:
                    tally.superseded += _withdraw(found, note="This morning's weather no longer asks for it.")
                elif not _stands(proposal, found, on=on):
                    tally.superseded += _withdraw(found, note="Replaced by a newer one.")
                    new.append(proposal)
            tally.unchanged += len(new) == before
        tally.proposed = _store(new, run_id=run_id)
        for change, proposal in zip(tally.proposed, new, strict=True):
            tally.auto_approved += _approve_by_policy(change, proposal)
    return tally


def expire(*, on: date, site_ids: list[int]) -> dict[Company, int]:
    """Close what came too late: skips of nights gone by, changes of closed sites and of changed programs."""
    expired: Counter[Company] = Counter()
    with transaction.atomic():
        rows = (
            Change.objects.filter(
                program__controller__site__in=site_ids, status__in=[Status.PENDING, Status.APPROVED]
            )
            .select_related("program__controller__site__client__company")
            .defer("inputs")
        )
        newest = _newest_versions(site_ids, on=on)
        altering = [change.program.controller_id for change in rows if change.is_alteration]
        standing = standing_at(altering) if altering else None
        for change in rows:
            note = _too_late(change, on=on, newest=newest)
            if not note and standing is not None and change.is_alteration:
                note = standing.word(change)
            if note:
                company = change.program.controller.site.client.company
                expired[company] += _close(change, to_status=Status.EXPIRED, note=note)
    return dict(expired)


def _open_changes(programs: list[int], *, on: date) -> list[Change]:
    since = on - timedelta(days=ANSWER_HOLDS_DAYS)
    rows = Change.objects.filter(program__in=programs).defer("inputs").select_for_update()
    open_rows = list(rows.filter(status__in=[Status.PENDING, Status.APPROVED]))
    declined = list(rows.filter(status=Status.DECLINED, effective_from__gte=since).order_by("id"))
    applied = list(rows.filter(status=Status.APPLIED, effective_from__gte=since))
    return open_rows + declined + applied


def _stands(proposal: Proposal, found: list[Change], *, on: date) -> bool:
    """Tell whether what is there already says the same, or a person has answered it."""
    for change in found:
        same = change.proposed == proposal.proposed
        if proposal.kind != Change.Kind.PERCENT:
            if change.effective_from == proposal.effective_from:
                return True
        elif (change.status == Status.APPROVED and (same or change.decided == proposal.proposed)) or (
            change.status == Status.DECLINED and same and change.current == proposal.group.current
        ):
            return True
        elif change.status == Status.APPLIED and same and change.decided != change.proposed:
            return True  # a person chose another value than this a few days ago
        elif change.status == Status.PENDING and same and change.current == proposal.group.current:
            fresh = (on - change.effective_from).days <= STALE_AFTER_DAYS or change.effective_from >= on
            if fresh and change.deciding_zone_id == proposal.deciding_zone:
                return True
    return False


def _withdraw(found: list[Change], *, note: str) -> int:
    return sum(_close(c, to_status=Status.SUPERSEDED, note=note) for c in found if c.status == Status.PENDING)


def _close(change: Change, *, to_status: str, note: str) -> int:
    closed = Change.objects.filter(pk=change.pk, status=change.status).update(status=to_status)
    if closed:
        ChangeEvent.objects.create(change=change, from_status=change.status, to_status=to_status, note=note)
        Delivery.objects.filter(change=change, state=Delivery.State.WAITING).update(
            state=Delivery.State.WITHDRAWN
        )
    return closed


def _store(new: list[Proposal], *, run_id: int | None) -> list[Change]:
    changes = Change.objects.bulk_create([p.as_row(run_id=run_id) for p in new], batch_size=500)
    ChangeEvent.objects.bulk_create(
        [
            ChangeEvent(change=change, from_status="", to_status=Status.PENDING, value=change.proposed)
            for change in changes
        ],
        batch_size=1000,
    )
    return changes


def _approve_by_policy(change: Change, proposal: Proposal) -> int:
    if not passes_by_itself(change, proposal.group.policy):
        return 0
    approve_as(change, by=None, value=change.proposed, note="Approved by policy.", automatic=True)
    return 1


def _newest_versions(site_ids: list[int], *, on: date) -> set[int]:
    newest: dict[tuple[int, str], Program] = {}
    for program in Program.objects.filter(controller__site__in=site_ids, effective__lte=on).order_by(
        "effective"
    ):
        newest[program.controller_id, program.letter] = program
    return {p.pk for p in newest.values() if p.ended is None or p.ended > on}


def _too_late(change: Change, *, on: date, newest: set[int]) -> str:
    if change.program.controller.site.season == Site.Season.CLOSED:
        return "The site is closed."
    if change.effective_to is not None and change.effective_to < on:
        return "Its night is over."
    if change.program_id not in newest:
        return "The program was replaced."
    return ""
