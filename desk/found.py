"""What was found, as a line to read and follow: a name, where it is, a link."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from fleet.models import Site
from scheduling.selectors.search import Group

SEP = " › "


@dataclass(frozen=True)
class Hit:
    """One line of what was found."""

    title: str
    place: str
    url: str
    note: str = ""


@dataclass(frozen=True)
class Section:
    """The lines of one kind, and where the rest of them is."""

    label: str
    key: str
    hits: list[Hit]
    total: int
    url: str

    @property
    def more(self) -> bool:
        """Tell whether there are more than are listed."""
        return self.total > len(self.hits)


def section(group: Group, *, words: str, staff: bool) -> Section:
    """Return a kind's lines; what a client follows leads to their own sites alone."""
    make = MAKERS[group.kind.key]
    query = urlencode({"words": words, "kind": group.kind.key})
    return Section(
        label=group.kind.label,
        key=group.kind.key,
        hits=[make(row, staff) for row in group.rows],
        total=group.total,
        url=f"{reverse('desk:search')}?{query}",
    )


def _at(site: Site, anchor: str = "") -> str:
    return reverse("desk:site", args=[site.pk]) + anchor


def _where(*parts: Any) -> str:
    return SEP.join(str(part) for part in parts)


def _client(row: Any, staff: bool) -> Hit:
    url = reverse("desk:client", args=[row.pk]) if staff else reverse("desk:morning")
    return Hit(row.name, "", url)


def _site(row: Any, staff: bool) -> Hit:
    return Hit(row.name, _where(row.client), _at(row), row.address)


def _controller(row: Any, staff: bool) -> Hit:
    serial = f"serial number {row.serial_number}" if row.serial_number else ""
    return Hit(row.name, _where(row.site.client, row.site), _at(row.site, "#programs"), serial)


def _zone(row: Any, staff: bool) -> Hit:
    site = row.controller.site
    return Hit(
        f"Zone {row.number} {row.name}",
        _where(site.client, site, row.controller),
        _at(site, f"#zone-{row.pk}"),
        row.get_plant_display(),
    )


def _program(row: Any, staff: bool) -> Hit:
    site = row.controller.site
    return Hit(str(row), _where(site.client, site, row.controller), _at(site, "#programs"))


def _person(row: Any, staff: bool) -> Hit:
    return Hit(str(row.user), row.get_role_display(), f"mailto:{row.user.email}", row.user.email)


def _reader(row: Any, staff: bool) -> Hit:
    url = reverse("desk:client", args=[row.client_id])
    return Hit(row.known_as or row.user.email, _where(row.client), url, row.user.email)


def _change(row: Any, staff: bool) -> Hit:
    site = row.program.controller.site
    what = f"{row.decided or row.proposed} %" if row.is_percent else row.get_kind_display()
    return Hit(
        f"Change {row.pk}: {row.program}, {what}, {row.get_status_display()}",
        _where(site.client, site),
        reverse("desk:why", args=[row.pk]),
        row.reason,
    )


def _finding(row: Any, staff: bool) -> Hit:
    site = row.zone.controller.site
    return Hit(
        f"{row.part} at {row.zone} ({row.get_status_display()})",
        _where(site.client, site),
        _at(site, "#findings"),
        row.note,
    )


MAKERS: dict[str, Callable[[Any, bool], Hit]] = {
    "clients": _client,
    "sites": _site,
    "controllers": _controller,
    "zones": _zone,
    "programs": _program,
    "people": _person,
    "readers": _reader,
    "changes": _change,
    "findings": _finding,
}
