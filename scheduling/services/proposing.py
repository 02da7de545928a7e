"""Advice becomes a change with one click: computed anew, proposed once, with what it was made from."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from common import clock
from common.errors import Gone, MovedOn, Refused
from fleet.models import Controller, Site, User
from fleet.selectors.people import require_decide
from fleet.services.holding import held
from scheduling.models import Advice, Change, ChangeEvent
from scheduling.selectors.advice import Found
from scheduling.selectors.rule_effect import nights_of
from scheduling.selectors.rule_kept import newly_broken
from scheduling.selectors.season_load import load_season
from scheduling.services.advice_worth import advice_with_worth
from scheduling.services.advising import GONE, advise, refill, site_of
from scheduling.services.alteration_effect import Judged, judge
from scheduling.services.decisions import checked_note
from scheduling.services.proposal import Proposal
from scheduling.services.withdrawing import OPEN, clashing, standing_at

ANEW = "computed anew"
FROM_ADVICE = "Proposed from advice."
PLAN_IT = "No single change follows from this; its plan shows what would help."


@dataclass(frozen=True)
class Proposed:
    """The change; ``new`` unless it was proposed before, ``anew`` if the advice had moved on meanwhile."""

    change: Change
    new: bool
    anew: bool = False


def propose(*, advice: Advice, by: User, note: str = "") -> Proposed:
    """Make a line of advice a pending change; said twice, it is the same change.

    The advice is computed again first. What its program holds by now is what is proposed, never what the line
    was made from, and the change says so where they differ.

    Raises
    ------
    NotAllowed
        If the person doesn't decide on changes.
    MovedOn
        If the advice no longer holds, or another open change alters the same program.
    Refused
        If no change follows from it, or what it would do breaks the watering rule or can't be computed.
    """
    require_decide(by, advice.controller.site.client.company_id)
    if (there := _standing(advice)) is not None:
        return Proposed(there, new=False)
    site = site_of(advice)
    on = clock.today(site.timezone)
    found, like = _found(advice, site, on)
    judged = _judge(site, found, on)
    with transaction.atomic():
        proposed = _store(advice, found, like, judged, site=site, on=on, by=by, note=checked_note(note))
        _link(proposed.change, like)
    advice.refresh_from_db()
    return proposed


def _standing(advice: Advice) -> Change | None:
    """Return the change this line has become, as long as it is open."""
    row = Advice.objects.select_related("change").filter(pk=advice.pk).first()
    if row is None:
        raise Gone(GONE)
    return row.change if row.change is not None and row.change.status in OPEN else None


def _found(advice: Advice, site: Site, on: date) -> tuple[Found, list[Found]]:
    """Return the line as it is found today, and those that the same alteration follows."""
    lines = advice_with_worth(site, on=on)
    found = next((f for f in lines if (f.controller.pk, f.key) == (advice.controller_id, advice.key)), None)
    if found is None:
        advise([site], on=on)
        raise MovedOn(
            "This no longer holds: its program, survey or weather has moved on. Nothing was proposed.",
            current_status="gone",
        )
    if found.detail is None:
        raise Refused(PLAN_IT)
    others = (f for f in lines if f is not found and f.controller.pk == found.controller.pk)
    return found, [f for f in others if f.detail is not None and f.detail.same_as(found.detail)]


def _link(change: Change, like: list[Found]) -> None:
    """Let the lines that the same alteration follows say so."""
    for one in like:
        Advice.objects.filter(controller=one.controller, key=one.key).update(change=change)


def _judge(site: Site, found: Found, on: date) -> Judged:
    assert found.detail is not None
    judged = judge(
        load_season([site.pk], on=on, timezone=site.timezone),
        found.controller,
        found.detail,
        zone=found.zone.pk if found.zone is not None else None,
    )
    nights = nights_of(Controller.objects.filter(site=site), first=on)
    against = newly_broken(nights, found.controller, judged.detail)
    if against:
        raise Refused(f"It would water against its rule ({', '.join(against)}); its plan shows what fits.")
    return judged


def _store(
    advice: Advice,
    found: Found,
    like: list[Found],
    judged: Judged,
    *,
    site: Site,
    on: date,
    by: User,
    note: str,
) -> Proposed:
    """Store the change while the controller is held, so that of two at once one proposes."""
    Controller.objects.select_for_update().get(pk=advice.controller_id)
    if (there := _standing(advice)) is not None:
        return Proposed(there, new=False)
    standing = standing_at([advice.controller_id])
    if any(standing.differs(advice.controller_id, one, on=on) for one in judged.detail.programs):
        raise MovedOn("Its program was changed this very moment; look again.", current_status="moved")
    other = clashing(advice.controller_id, judged.detail.letters)
    if other is not None:
        raise MovedOn(
            f"Another change of program {other.program.letter} ({other.get_kind_display()}) is open; "
            "decide on that one first.",
            current_status="waiting",
        )
    row = held(advice, gone=GONE)
    anew = row.words != found.words or row.program_id != (found.program.pk if found.program else None)
    change = _row(row, found, judged, reason=_reason(found, like), hints=[ANEW] if anew else [])
    change.full_clean(exclude=["run"])
    change.save()
    ChangeEvent.objects.create(
        change=change, from_status="", to_status=Change.Status.PENDING, by=by, note=note or FROM_ADVICE
    )
    refill(row, found, site=site, on=on)
    row.change = change
    row.save()
    return Proposed(change, new=True, anew=anew)


def _row(advice: Advice, found: Found, judged: Judged, *, reason: str, hints: list[str]) -> Change:
    told = {
        "advice": {
            "kind": found.kind,
            "words": found.words,
            "facts": found.facts,
            "found_on": advice.found_on.isoformat(),
        }
    }
    row = Proposal(
        group=judged.group,
        kind=found.becomes,
        proposed=judged.detail.programs[0].after.percent,
        effective_from=judged.effective_from,
        effective_to=None,
        reason=reason,
        litres=judged.litres,
        risk_keep=judged.risk_keep,
        risk_change=judged.risk_change,
        keep_words=judged.keep_words,
        change_words=judged.change_words,
        deciding_zone=judged.deciding_zone,
        write_down=lambda: judged.inputs | told,
        hints=hints + _hints(judged),
    ).as_row(run_id=None)
    row.detail, row.whole_controller = judged.detail.as_json(), False
    return row


def _reason(found: Found, like: list[Found]) -> str:
    zones = sorted({one.zone.number for one in like if one.zone is not None})
    if not zones:
        return found.words
    named = ", ".join(str(number) for number in zones)
    return f"{found.words} Likewise zone{'s' if len(zones) > 1 else ''} {named}."


def _hints(judged: Judged) -> list[str]:
    if not judged.group.channel.needs_visit:
        return []
    return ["rides along with a visit" if judged.group.next_visits else "worth a trip"]
