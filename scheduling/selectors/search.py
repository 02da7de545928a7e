"""Finding clients, sites, controllers, zones, programs, people, changes and findings by their words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, OuterRef, QuerySet, Window

from fleet.models import Client, Controller, Finding, Membership, Site, Zone
from fleet.selectors.client_access import readers
from fleet.tenancy import TenantQuerySet
from scheduling.models import Change, Program
from scheduling.selectors.search_words import Words, matching, padded, rank

A_FEW, MOST = 6, 200


@dataclass(frozen=True)
class Kind:
    """One kind of rows: which texts are its own, which its place's, and how it is called."""

    key: str
    label: str
    rows: Callable[[], TenantQuerySet[Any]]
    own: Sequence[str]
    place: Sequence[str] = ()
    number: str = ""
    nouns: Sequence[str] = ()
    related: Sequence[str] = ()
    newest: bool = False
    deciders: bool = False  # only for those who decide
    main: str = "name"  # the text it is known by


@dataclass(frozen=True)
class Group:
    """What was found of one kind: the best rows, and how many there are in all."""

    kind: Kind
    rows: list[Any]
    total: int


def _latest_programs() -> TenantQuerySet[Program]:
    later = Program.objects.filter(
        controller=OuterRef("controller"), letter=OuterRef("letter"), effective__gt=OuterRef("effective")
    )
    return Program.objects.filter(~Exists(later))


KINDS = (
    Kind("clients", "Clients", Client.objects.all, ("name",), nouns=("client",)),
    Kind("sites", "Sites", Site.objects.all, ("name", "address"), ("client__name",), related=("client",)),
    Kind(
        "controllers", "Controllers", Controller.objects.all, ("name", "serial_number"),
        ("site__name", "site__client__name"), nouns=("controller",), related=("site__client",),
    ),
    Kind(
        "zones", "Zones", Zone.objects.all, ("name",),
        ("controller__name", "controller__site__name", "controller__site__client__name"),
        number="number", nouns=("zone",), related=("controller__site__client",),
    ),
    Kind(
        "programs", "Programs", _latest_programs, ("letter", "name"),
        ("controller__name", "controller__site__name", "controller__site__client__name"),
        nouns=("program",), related=("controller__site__client",),
    ),
    Kind(
        "people", "People who work here", Membership.objects.all, ("user__name", "user__email"),
        related=("user",), deciders=True, main="user__name",
    ),
    Kind(
        "readers", "People who may read", readers, ("known_as", "user__email"),
        ("client__name",), related=("user", "client"), deciders=True, main="known_as",
    ),
    Kind(
        "changes", "Changes", Change.objects.all, ("reason",),
        ("program__controller__site__name", "program__controller__site__client__name"),
        number="pk", nouns=("change",), main="reason", newest=True,
        related=("program__controller__site__client",),
    ),
    Kind(
        "findings", "Findings", Finding.objects.all, ("part", "note"),
        ("zone__name", "zone__controller__site__name", "zone__controller__site__client__name"),
        nouns=("finding",), main="part", related=("zone__controller__site__client",), newest=True,
    ),
)  # fmt: skip


def search(
    user: Any, words: Words, *, company_id: int | None, decides: bool, only: str = "", most: int = A_FEW
) -> list[Group]:
    """Return what a person may see and every word is found in, by kind, the best first.

    At most two queries a kind. ``company_id`` is the company a person works for right now, None for readers;
    ``only`` keeps one kind.
    """
    kinds = [k for k in KINDS if (decides or not k.deciders) and only in ("", k.key)]
    groups = [_group(user, words, kind, company_id=company_id, most=most) for kind in kinds]
    return [group for group in groups if group.rows]


def _group(user: Any, words: Words, kind: Kind, *, company_id: int | None, most: int) -> Group:
    visible = kind.rows().visible_to(user)
    if company_id is not None:
        visible = visible.of_company(company_id)
    best = list(_best(visible, words, kind)[:most])
    found = kind.rows().select_related(*kind.related).in_bulk([row.pk for row in best])
    return Group(kind, [found[row.pk] for row in best], best[0].found_in_all if best else 0)


def _best(rows: TenantQuerySet[Any], words: Words, kind: Kind) -> QuerySet[Any, Any]:
    """Order rows by how well they fit, with the count of them all; keys alone, so that it stays cheap."""
    meant = [word for word in words.each if word.lower() not in kind.nouns] or words.each
    found = rows.filter(
        matching(words.each, own=kind.own, place=kind.place, number=kind.number, nouns=kind.nouns)
    )
    ranked = found.alias(padded=padded(kind.main)).annotate(
        fit=rank(meant, main=kind.main, number=kind.number), found_in_all=Window(Count("pk"))
    )
    order = ("-pk",) if kind.newest else (kind.main, "pk")
    return ranked.order_by("fit", *order).values_list("pk", "found_in_all", named=True)
