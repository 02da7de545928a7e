"""What somebody wants to see of a site's history, from the address of the page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from urllib.parse import urlencode

from django.http import Http404, QueryDict

from fleet.models import Site
from scheduling.models import Program
from scheduling.selectors.site_history import Sort, Wanted

FIELDS = ("kind", "part", "from", "to")


@dataclass(frozen=True)
class Choice:
    """The filters as written, what they mean, and what is wrong with them."""

    written: dict[str, str]
    wanted: Wanted
    after: str
    errors: dict[str, str] = field(default_factory=dict)

    def address(self, **more: str) -> str:
        """Return the filters as the tail of an address."""
        return urlencode({key: value for key, value in (self.written | more).items() if value})


def parts_of(site: Site) -> list[tuple[str, str]]:
    """Return a site's programs and zones to pick from, by the key they have in the address."""
    programs = Program.objects.filter(controller__site=site).select_related("controller")
    latest = {f"{p.controller_id}-{p.letter}": f"{p}, {p.controller}" for p in programs}
    zones = site.controllers.order_by("name", "zones__number").filter(zones__isnull=False)
    rows = zones.values_list("zones__pk", "zones__number", "zones__name", "name")
    return list(latest.items()) + [
        (f"zone-{pk}", f"Zone {number} {name}, {controller}") for pk, number, name, controller in rows
    ]


def choice_of(query: QueryDict, *, sorts: Iterable[Sort], parts: Iterable[tuple[str, str]]) -> Choice:
    """Read the filters; a program or zone of another site doesn't exist."""
    written = {key: query.get(key, "").replace("\0", "").strip()[:60] for key in FIELDS}
    if written["kind"] not in {sort.key for sort in sorts}:
        written["kind"] = ""
    if written["part"] and written["part"] not in dict(parts):
        raise Http404
    errors: dict[str, str] = {}
    first, last = (_day(written, key, errors) for key in ("from", "to"))
    if first and last and last < first:
        errors["to"] = "This day comes before the first one."
    before, _, key = written["part"].partition("-")
    wanted = Wanted(
        sort=written["kind"],
        program=(int(before), key) if before.isdecimal() else None,
        zone=int(key) if before == "zone" else None,
        first=first,
        last=last,
    )
    return Choice(written, wanted, query.get("after", ""), errors)


def _day(written: dict[str, str], key: str, errors: dict[str, str]) -> date | None:
    if not written[key]:
        return None
    try:
        return date.fromisoformat(written[key])
    except ValueError:
        errors[key] = "Write a date such as 2026-07-14."
        return None
