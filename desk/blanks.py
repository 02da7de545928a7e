"""Forms that lose nothing: what was typed stays, each message stands by its field, nobody is overwritten.

A form's blanks say how a value is shown and how text is read. Beside them a form carries what it showed when
it was opened; if the row says something else by then, both are put before the person.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError

from common.errors import BluestemError, Refused

NUMBER = re.compile(r"[-+\u2212]?([0-9]{1,12}(\.[0-9]{0,12})?|\.[0-9]{1,12})")
WHOLE = re.compile(r"[0-9]{1,12}")
THOUSANDS = re.compile(r"[-+\u2212]?[1-9][0-9]{0,2}")  # before the first comma: never a 0 alone
THREE = re.compile(r"[0-9]{3}")
SPACES = (" ", "\u00a0", "\u202f", "\u2009")


@dataclass(frozen=True)
class Blank:
    """One value on a form: its words, how it is shown as text and read from it."""

    name: str
    label: str
    read: Callable[[str], Any]
    show: Callable[[Any], str] = str
    effect: str = ""
    unit: str = ""
    kind: str = "text"
    choices: Sequence[tuple[str, str]] = ()
    most: int = 40
    required: bool = False
    gather: Callable[[Any], str | None] | None = None  # the text of a table of cells, where they were posted
    cells: Callable[[str], list[list[str]]] | None = None  # and the other way round


@dataclass
class Filled:
    """A blank with what stands in it; ``theirs`` is what somebody else saved meanwhile, ``who`` tells who."""

    blank: Blank
    text: str
    error: str = ""
    told: str = ""
    theirs: str | None = None
    who: str = ""

    @property
    def ticked(self) -> list[str]:
        """Return the words that stand in it, where several are ticked."""
        return self.text.split()

    @property
    def cells(self) -> list[list[str]]:
        """Return what stands in each cell of a table, row by row."""
        return self.blank.cells(self.text) if self.blank.cells is not None else []


class Stale(BluestemError):
    """Somebody saved meanwhile; ``fields`` are the names of what is different now."""

    def __init__(self, fields: Sequence[str]) -> None:
        super().__init__("Somebody saved while you were writing. Nothing was overwritten.")
        self.fields = fields


@dataclass
class Sheet:
    """A form about one row."""

    blanks: Sequence[Blank]
    row: Any = None
    posted: Mapping[str, str] | None = None
    values: dict[str, Any] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    told: dict[str, str] = field(default_factory=dict)
    stale: dict[str, str] = field(default_factory=dict)

    def shown(self, row: Any) -> dict[str, str]:
        """Return the texts of a row."""
        return {b.name: b.show(getattr(row, b.name)) for b in self.blanks} if row is not None else {}

    @property
    def opened_with(self) -> dict[str, str]:
        """Return the texts the form showed when it was opened."""
        try:
            texts = json.loads((self.posted or {}).get("was", ""))
        except (ValueError, RecursionError):
            return {}
        return texts if isinstance(texts, dict) else {}

    @property
    def was(self) -> str:
        """Return what the form must carry: the texts of the row as it is now."""
        return json.dumps(self.shown(self.row))

    def typed(self, blank: Blank) -> str:
        """Return what stands in a blank."""
        if self.posted is None:
            return self.shown(self.row).get(blank.name, "")
        if blank.kind == "days":
            listed = getattr(self.posted, "getlist", lambda name: [self.posted.get(name, "")])(blank.name)  # type: ignore[union-attr]
            return " ".join(day for day, _ in blank.choices if day in listed)
        if blank.gather is not None and (gathered := blank.gather(self.posted)) is not None:
            return gathered
        if blank.kind == "check":
            return "yes" if self.posted.get(blank.name) else ""
        return self.posted.get(blank.name, "").strip()

    def takes_theirs(self, blank: Blank) -> bool:
        """Tell whether the person chose what somebody else saved."""
        return self.posted is not None and bool(self.posted.get(f"theirs-{blank.name}"))

    def read(self) -> bool:
        """Read every blank into ``values``; False if one can't be, with its message in ``errors``."""
        now = self.shown(self.row)
        for blank in self.blanks:
            text = self.typed(blank)
            if self.takes_theirs(blank) or (
                self.row is not None and text == now[blank.name] and (text or not blank.required)
            ):
                self.values[blank.name] = getattr(self.row, blank.name)
                continue
            try:
                self.values[blank.name] = _read(blank, text)
            except Refused as refused:
                self.errors[blank.name] = refused.message
        return not self.errors

    def decide(self, row: Any) -> dict[str, Any]:
        """Return what to save over a row as it is now.

        Raises
        ------
        Stale
            If it isn't as it was when the form was opened, and saving would change it.
        """
        now, was = self.shown(row), self.opened_with
        texts = {b.name: now[b.name] if self.takes_theirs(b) else self.typed(b) for b in self.blanks}
        changed = {name: self.values[name] for name, text in texts.items() if text != now[name]}
        moved = [name for name, text in now.items() if was.get(name) != text and texts[name] != text]
        if moved:
            raise Stale(moved)
        return changed

    def refuse(self, refused: Refused | ValidationError) -> None:
        """Put a refusal by its fields, or on top where it belongs to none."""
        if isinstance(refused, Refused):
            told = {refused.field: refused.message}
        elif hasattr(refused, "error_dict"):
            told = {name: words[0] for name, words in refused.message_dict.items()}
        else:
            told = {"": refused.messages[0]}
        names = {blank.name for blank in self.blanks}
        for name, message in told.items():
            self.errors[name if name in names else ""] = message

    @property
    def problem(self) -> str:
        """Return what is wrong with the whole."""
        return self.errors.get("", "")

    def __iter__(self) -> Any:
        """Give each blank with what stands in it."""
        now, was = self.shown(self.row), self.opened_with
        for blank in self.blanks:
            text = self.typed(blank)
            one = Filled(
                blank,
                text.replace("\0", ""),
                error=self.errors.get(blank.name, ""),
                told=self.told.get(blank.name, ""),
            )
            if blank.name in self.stale:
                one.theirs, one.who = now[blank.name], self.stale[blank.name]
                if text == was.get(blank.name):
                    one.text = now[blank.name]
            yield one


def _read(blank: Blank, text: str) -> Any:
    if "\0" in text:
        raise Refused("There is a character in it that can't be kept. Type it anew.")
    if len(text) > blank.most:
        raise Refused(f"{blank.most:,} characters at the most; this has {len(text):,}.")
    if blank.required and not text:
        raise Refused("This can't be empty.")
    return blank.read(text)


def number(text: str) -> float:
    """Return a typed number.

    Raises
    ------
    Refused
        If it isn't one alone, without unit and commas.
    """
    if "," in text:
        raise Refused("Type it without commas, decimals after a point, for example 3.2.")
    if not NUMBER.fullmatch(text):
        raise Refused("Type a number alone, for example 3.2; its unit stands beside it.")
    return float(text.replace("\u2212", "-"))


def without_thousands(text: str) -> str:
    """Return a number without commas or spaces between its thousands; others stay, to be refused.

    >>> without_thousands("1,200"), without_thousands("12 500.5"), without_thousands("0,500")
    ('1200', '12500.5', '0,500')
    """
    whole, point, rest = text.partition(".")
    for between in (",", *SPACES):
        first, *others = whole.split(between)
        if others and THOUSANDS.fullmatch(first) and all(THREE.fullmatch(part) for part in others):
            return first + "".join(others) + point + rest
    return text


def may_be_decimal(text: str) -> bool:
    """Tell whether a number's one comma may as well stand before decimals: ``1,200`` is 1200 or 1.2."""
    return text.count(",") == 1 and "." not in text and without_thousands(text) != text


def whole(text: str) -> int:
    """Return a typed whole number.

    Raises
    ------
    Refused
        If it isn't one.
    """
    if not WHOLE.fullmatch(text):
        raise Refused("Type a whole number alone, for example 5.")
    return int(text)


def plain(value: float | None, decimals: int = 1) -> str:
    """Return a number as it is typed: no thousands, no needless zeros."""
    if value is None:
        return ""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def words(text: str) -> str:
    """Return words as they are."""
    return text


def one_of(choices: Sequence[tuple[str, str]]) -> Callable[[str], str]:
    """Return a reader that takes only what was offered."""
    offered = {key for key, _ in choices}

    def read(text: str) -> str:
        if text not in offered:
            raise Refused("Pick one of those offered.")
        return text

    return read
