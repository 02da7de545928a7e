"""The address of the clients' water: which months and clients were chosen, links that choose otherwise."""

from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import urlencode

from django.http.request import QueryDict

from common.months import month_before
from desk.client_list import Column, Filter
from reports.selectors.by_client.listing import ONLY, SORTS
from reports.selectors.by_client.rows import Months
from reports.selectors.summary.states import DRY_BELOW
from reports.services.months_of_sites import MONTHS_KEPT

UP_FIRST = frozenset({"client", "need"})  # elsewhere most comes first
WORDS = {
    "client": "Client",
    "saved": "Saved, estimated",
    "measured": "Saved, measured",
    "used": "Used, estimated",
    "budget": "of budget, estimated",
    "metered": "Used, metered",
    "meteredbudget": "of budget, metered",
    "unexplained": "Not explained",
    "need": "Need met",
}
ONLY_WORDS = {
    "over": "over their budget",
    "dry": f"need met under {100 * DRY_BELOW:.0f} %",
    "alert": "with open alerts",
    "metered": "with meters",
}
USUAL = "saved"
WARM = {False: (4, 9), True: (10, 3)}  # first and last month of the warm half of a year, north and south


@dataclass(frozen=True)
class Choice:
    """What was asked of the page; an empty word leaves everything in."""

    months: Months
    words: str = ""
    only: str = ""
    sort: str = USUAL
    down: bool = True


@dataclass(frozen=True)
class Link:
    """Months to choose with one click."""

    words: str
    query: str
    here: bool


def read_choice(query: QueryDict, *, on: date) -> Choice:
    """Read what was chosen from the address; what isn't known counts as not chosen."""
    sort, way, only = (query.get(name, "") for name in ("sort", "way", "only"))
    sort = sort if sort in SORTS else USUAL
    return Choice(
        months=_months(query.get("from", ""), query.get("to", ""), on=on),
        words=query.get("words", "").replace("\0", "").strip()[:120],
        only=only if only in ONLY else "",
        sort=sort,
        down=way == "down" if way in ("up", "down") else sort not in UP_FIRST,
    )


def newest_month(on: date) -> date:
    """Return the month yesterday lies in: the newest of which a day is over."""
    return on.replace(day=1) if on.day > 1 else month_before(on)


def months_to_choose(on: date) -> list[date]:
    """Return the months that are kept, newest first."""
    found = [newest_month(on)]
    while len(found) < MONTHS_KEPT:
        found.append(month_before(found[-1]))
    return found


def links_of(choice: Choice, *, on: date, southern: bool) -> list[Link]:
    """Return the months people ask for most."""
    new = newest_month(on)
    before = month_before(new)
    year_ago = months_to_choose(on)[11]
    spans = [
        (f"{new:%B}", Months(new, new)),
        (f"{before:%B}", Months(before, before)),
        ("This season", season_of(new, southern=southern)),
        ("This year", Months(new.replace(month=1), new)),
        ("Last 12 months", Months(year_ago, new)),
    ]
    return [
        Link(words, address_of(replace(choice, months=months)), months == choice.months)
        for words, months in spans
    ]


def season_of(new: date, *, southern: bool) -> Months:
    """Return the newest warm half-year that has begun, up to the newest month."""
    first, last = WARM[southern]
    begin = date(new.year if new.month >= first else new.year - 1, first, 1)
    end = date(begin.year + (last < first), last, 1)
    return Months(begin, min(end, new))


def address_of(choice: Choice) -> str:
    """Return a choice as the part of an address behind the question mark; the page isn't in it."""
    usual = choice.sort not in UP_FIRST
    parts = {
        "from": f"{choice.months.first:%Y-%m}",
        "to": f"{choice.months.last:%Y-%m}",
        "words": choice.words,
        "only": choice.only,
        "sort": "" if choice.sort == USUAL else choice.sort,
        "way": "" if choice.down == usual else "down" if choice.down else "up",
    }
    return urlencode({name: value for name, value in parts.items() if value})


def columns_of(choice: Choice) -> list[Column]:
    """Return the heads of the list; a click on the sorted one turns the order round."""
    return [_column(choice, name) for name in WORDS]


def only_of(choice: Choice) -> Filter:
    """Return the field that narrows the list."""
    return Filter("only", "Which clients", [("", "all"), *ONLY_WORDS.items()], choice.only)


def span_words(months: Months) -> str:
    """Return months in words: ``July 2026`` or ``May to July 2026``."""
    first, last = months.first, months.last
    if first == last:
        return f"{first:%B %Y}"
    return f"{first:%B}{'' if first.year == last.year else f' {first:%Y}'} to {last:%B %Y}"


def _column(choice: Choice, name: str) -> Column:
    here = choice.sort == name
    then = replace(choice, sort=name, down=not choice.down if here else name not in UP_FIRST)
    return Column(
        words=WORDS[name],
        url=f"?{address_of(then)}",
        numbers=name != "client",
        sorted=("descending" if choice.down else "ascending") if here else "",
    )


def _months(first: str, last: str, *, on: date) -> Months:
    known = months_to_choose(on)
    end = _month(last) or _month(first) or known[0]
    end = min(max(end, known[-1]), known[0])
    begin = _month(first) or end
    return Months(min(max(begin, known[-1]), end), end)


def _month(text: str) -> date | None:
    try:
        return date.fromisoformat(f"{text}-01")
    except ValueError:
        return None
