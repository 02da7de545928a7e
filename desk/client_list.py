"""The clients list's address: what was chosen, and the links that choose otherwise."""

from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import urlencode

from django.http.request import QueryDict

from reports.selectors.client_choice import ACCESS, OPEN, SEASONS, Choice
from reports.selectors.client_order import SORTS

# Which way a column goes when it is first asked for: what a person looks for comes first.
DOWN_FIRST = frozenset({"month", "saved", "used", "open", "last"})
FILTERS: dict[str, tuple[str, dict[str, str]]] = {
    "open": (
        "What is open",
        {
            "decide": "to decide",
            "enter": "to enter",
            "risk": "plants at risk",
            "finding": "open findings",
            "nothing": "nothing open",
        },
    ),
    "access": ("Access", {"open": "open", "later": "from later on", "closed": "not open"}),
    "season": ("Season of a site", {name: name for name in SEASONS}),
}
KNOWN = {"open": OPEN, "access": ACCESS, "season": SEASONS}


@dataclass(frozen=True)
class Column:
    """A column's head: its words, its link, and whether the list is sorted by it."""

    words: str
    url: str
    numbers: bool
    sorted: str  # as aria-sort says it; empty where it isn't sorted by this column


@dataclass(frozen=True)
class Filter:
    """A field that narrows the list."""

    name: str
    label: str
    options: list[tuple[str, str]]
    value: str


def read_choice(query: QueryDict) -> Choice:
    """Read what was chosen from the address; what isn't known counts as not chosen."""
    picked = {name: query.get(name, "") for name in KNOWN}
    sort, way = query.get("sort", ""), query.get("way", "")
    sort = sort if sort in SORTS else "client"
    return Choice(
        words=query.get("words", "").replace("\0", "").strip()[:120],
        sort=sort,
        down=way == "down" if way in ("up", "down") else sort in DOWN_FIRST,
        **{name: value for name, value in picked.items() if value in KNOWN[name]},
    )


def address_of(choice: Choice) -> str:
    """Return a choice as the part of an address behind the question mark; the page isn't in it."""
    parts = {
        "words": choice.words,
        **{name: getattr(choice, name) for name in KNOWN},
        "sort": "" if choice.sort == "client" and not choice.down else choice.sort,
        "way": "" if choice.down == (choice.sort in DOWN_FIRST) else "down" if choice.down else "up",
    }
    return urlencode({name: value for name, value in parts.items() if value})


def columns_of(choice: Choice, *, on: date) -> list[Column]:
    """Return the heads of the list; a click on the sorted one turns the order round."""
    words = {
        "client": "Client",
        "month": f"Saved in {on:%B}",
        "saved": "Saved this year",
        "used": "Used this year",
        "need": "Need met this year",
        "open": "Open",
        "last": "Last visit",
        "next": "Next visit",
    }
    return [_column(choice, name, words[name]) for name in SORTS]


def filters_of(choice: Choice) -> list[Filter]:
    """Return the fields that narrow the list."""
    return [
        Filter(name, label, [("", "any"), *options.items()], getattr(choice, name))
        for name, (label, options) in FILTERS.items()
    ]


def _column(choice: Choice, name: str, words: str) -> Column:
    here = choice.sort == name
    then = replace(choice, sort=name, down=not choice.down if here else name in DOWN_FIRST)
    return Column(
        words=words,
        url=f"?{address_of(then)}",
        numbers=name in ("month", "saved", "used", "need"),
        sorted=("descending" if choice.down else "ascending") if here else "",
    )
