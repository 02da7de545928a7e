"""The history of changes at a client, narrowed by kind, status, year, site and program."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Max, Min, QuerySet

from fleet.models import Client
from scheduling.models import Change, Program
from scheduling.selectors.changes import changes_for


@dataclass(frozen=True)
class Asked:
    """What was asked of the history; 0 and an empty word leave everything in."""

    kind: str = ""
    status: str = ""
    year: int = 0
    site: int = 0
    controller: int = 0
    letter: str = ""


def change_history(user: Any, client: Client, asked: Asked) -> QuerySet[Change]:
    """Return a client's changes that were asked for, latest first."""
    wanted: dict[str, Any] = {
        "kind": asked.kind,
        "status": asked.status,
        "program__controller__site": asked.site,
        "program__controller": asked.controller,
        "program__letter": asked.letter,
    }
    changes = changes_for(user).filter(program__controller__site__client=client)
    changes = changes.filter(**{name: value for name, value in wanted.items() if value})
    if asked.year:
        changes = changes.filter(effective_from__range=(date(asked.year, 1, 1), date(asked.year, 12, 31)))
    return changes.order_by("-id")


def years_of(client: Client) -> list[int]:
    """Return the years a client has changes of, latest first."""
    ends = Change.objects.filter(program__controller__site__client=client).aggregate(
        first=Min("effective_from"), last=Max("effective_from")
    )
    if ends["first"] is None:
        return []
    return list(range(ends["last"].year, ends["first"].year - 1, -1))


def programs_of(client: Client) -> list[tuple[int, str, str, str]]:
    """Return a client's programs, each letter once: controller, letter, names of site and controller."""
    rows = Program.objects.filter(controller__site__client=client).order_by(
        "controller__site__name", "controller__name", "letter"
    )
    fields = ("controller_id", "letter", "controller__site__name", "controller__name")
    return list(dict.fromkeys(rows.values_list(*fields)))
