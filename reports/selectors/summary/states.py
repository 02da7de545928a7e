"""How far each client's summary has come: made, held, approved, handed over; and why one can't go."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db.models import Prefetch, QuerySet

from common import clock
from common.months import last_of_month
from fleet.models import Client, ClientAccess, Letter, Site
from reports.models import Summary, SummaryStop, UseAlert

DRAFT, LOOK, HELD, STOPPED, EMPTY = "draft", "to_look_at", "held", "stopped", "empty"
CLOSED, NOBODY = "access_closed", "no_reader"
TO_PRINT, WAITING, SENDING = "to_print", "waiting", "sending"
SENT, UNSURE, FAILED, NOT_SENT = "sent", "unsure", "failed", "not_sent"
NOT_MADE = "not_made"

WORDS = {
    NOT_MADE: "not made yet",
    DRAFT: "to approve",
    LOOK: "to look at first",
    HELD: "held back",
    STOPPED: "gets none",
    EMPTY: "nothing to tell",
    CLOSED: "access isn't open",
    NOBODY: "nobody to send it to",
    TO_PRINT: "approved, to be printed",
    WAITING: "approved, waits to go out",
    SENDING: "being handed over",
    SENT: "sent",
    UNSURE: "unsure whether it arrived",
    FAILED: "couldn't be sent",
    NOT_SENT: "stopped by a person",
}
DRY_BELOW = 0.9  # need met; less than that a person reads before it is sent
MAIN = ("applied_l", "baseline_l", "saved_l", "adequacy")
# What a summary is called whose letters are in several states: the first of these that any is in.
LETTERS = (
    (Letter.State.UNSURE, UNSURE),
    (Letter.State.FAILED, FAILED),
    (Letter.State.SENDING, SENDING),
    (Letter.State.WAITING, WAITING),
    (Letter.State.SENT, SENT),
    (Letter.State.STOPPED, NOT_SENT),
)


@dataclass(frozen=True)
class Standing:
    """A client's summary of one month."""

    client: Client
    summary: Summary | None
    state: str
    sent_at: datetime | None = None
    error: str = ""
    letters: tuple[Letter, ...] = ()
    to: tuple[str, ...] = ()

    @property
    def figures(self) -> dict[str, Any]:
        """Return the main figures; None for what isn't known."""
        return dict.fromkeys(MAIN) | (self.summary.figures if self.summary is not None else {})

    @property
    def words(self) -> str:
        """Say the state."""
        return WORDS[self.state]


def standings(clients: Sequence[Client], month: date) -> list[Standing]:
    """Return where each client's summary of a month stands, in their order and a fixed number of queries."""
    rows = Summary.objects.filter(client__in=clients, month=month)
    made = {
        row.client_id: row
        for row in rows.select_related("client__company", "paper", "approved_by")
        .prefetch_related(Prefetch("letters", Letter.objects.defer("text", "html")))
        .defer("paper__content")
    }
    stopped = dict(SummaryStop.objects.filter(client__in=clients).values_list("client", "reason"))
    people = readers(clients)
    opened = open_access(clients)
    alerted = _alerted(clients, month)
    return [
        _looked(
            _standing(client, made.get(client.pk), stopped, people[client.pk], client.pk in opened),
            alerted.get(client.pk, ()),
        )
        for client in clients
    ]


def alerts_in(month: date) -> QuerySet[UseAlert]:
    """Return the alerts about use that nobody has answered and that touch a month."""
    return UseAlert.objects.filter(dismissed_at=None, first__lte=last_of_month(month), last__gte=month)


def _alerted(clients: Sequence[Client], month: date) -> dict[int, list[str]]:
    """Return the sites of each client with such an alert."""
    found: dict[int, list[str]] = defaultdict(list)
    rows = alerts_in(month).filter(meter__site__client__in=clients).order_by("meter__site__name")
    for client, site in rows.values_list("meter__site__client", "meter__site__name").distinct():
        found[client].append(site)
    return found


def _looked(standing: Standing, alerted: Sequence[str]) -> Standing:
    """Return a draft that needs a person as such, with why; every other as it is."""
    row = standing.summary
    if standing.state != DRAFT or row is None:
        return standing
    why = []
    if row.adequacy is not None and row.adequacy < DRY_BELOW:
        why.append(f"Plants got {100 * row.adequacy:.0f} % of their need.")
    if alerted:
        why.append(f"Use that nothing explains yet at {', '.join(alerted)}.")
    return replace(standing, state=LOOK, error=" ".join(why)) if why else standing


def readers(clients: Iterable[Client]) -> dict[int, tuple[str, ...]]:
    """Return the addresses each client's summary goes to: its readers', else the client's own; each once."""
    found: dict[int, dict[str, str]] = {client.pk: {} for client in clients}
    rows = ClientAccess.objects.filter(client__in=found, user__is_active=True).order_by("pk")
    for client, email in rows.values_list("client", "user__email"):
        found[client].setdefault(email.lower(), email)
    return {
        client.pk: tuple(found[client.pk].values()) or ((client.email,) if client.email else ())
        for client in clients
    }


def open_access(clients: Sequence[Client]) -> set[int]:
    """Return the clients whose access is open today, where their first site lies."""
    zones: dict[int, str] = {}
    for client, timezone in (
        Site.objects.filter(client__in=clients).order_by("pk").values_list("client", "timezone")
    ):
        zones.setdefault(client, timezone)
    return {
        client.pk
        for client in clients
        if client.access_from is not None and client.access_from <= clock.today(zones.get(client.pk, "UTC"))
    }


def told_of(row: Summary) -> Standing:
    """Return where one summary stands by itself, leaving aside who could read it."""
    if row.state == Summary.State.APPROVED:
        return _approved(row.client, row, ())
    if row.state == Summary.State.HELD:
        return Standing(row.client, row, HELD, error=row.held_because)
    empty = row.figures.get("empty", "")
    return Standing(row.client, row, EMPTY if empty else DRAFT, error=empty)


def _standing(
    client: Client, row: Summary | None, stopped: dict[int, str], to: tuple[str, ...], opened: bool
) -> Standing:
    if row is not None and row.state == Summary.State.APPROVED:
        return _approved(client, row, to)
    if client.pk in stopped:
        return Standing(client, row, STOPPED, error=stopped[client.pk], to=to)
    if row is None:
        return Standing(client, None, NOT_MADE, to=to)
    if row.state == Summary.State.HELD:
        return Standing(client, row, HELD, error=row.held_because, to=to)
    if row.empty:
        return Standing(client, row, EMPTY, error=row.empty, to=to)
    if not opened:
        return Standing(
            client, row, CLOSED, error="The client's access isn't open, so nothing reaches them.", to=to
        )
    if not to:
        return Standing(
            client, row, NOBODY, error="Nobody reads this client, and no address is noted.", to=to
        )
    return Standing(client, row, DRAFT, to=to)


def _approved(client: Client, row: Summary, to: tuple[str, ...]) -> Standing:
    letters = tuple(row.letters.all())
    if not letters:
        return Standing(client, row, TO_PRINT, to=to)
    state = next(word for state, word in LETTERS if any(letter.state == state for letter in letters))
    return Standing(
        client,
        row,
        state,
        sent_at=max((letter.sent_at for letter in letters if letter.sent_at), default=None),
        error=next((letter.error for letter in letters if letter.error), ""),
        letters=letters,
        to=tuple(letter.to for letter in letters),
    )
