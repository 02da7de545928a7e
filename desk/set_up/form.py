"""One part of a draft as a form: what was typed stands in it, what can't be read is told by its field."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from common.errors import Refused
from desk.blanks import Blank, Filled

MOST_KEPT = 10_000


@dataclass
class Form:
    """Blanks with the texts that stand in them; ``theirs`` are another page's, where they differ."""

    blanks: Sequence[Blank]
    texts: Mapping[str, Any]
    hints: Mapping[str, str] = field(default_factory=dict)
    theirs: Mapping[str, Any] | None = None
    who: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        for blank in self.blanks:
            text = str(self.texts.get(blank.name, ""))
            try:
                self.values[blank.name] = _read(blank, text)
            except Refused as refused:
                self.errors[blank.name] = refused.message
                self.values[blank.name] = None
            if blank.required and not text.strip():
                self.missing.append(blank.label)

    def __iter__(self) -> Any:
        """Give each blank with what stands in it."""
        for blank in self.blanks:
            text = str(self.texts.get(blank.name, ""))
            one = Filled(blank, text, error=self.errors.get(blank.name, ""))
            if self.theirs is not None and str(self.theirs.get(blank.name, "")) != text:
                one.theirs, one.who = str(self.theirs.get(blank.name, "")), self.who
            yield one

    @property
    def problems(self) -> list[tuple[str, str, str]]:
        """Return (field, label, message) of every field that can't be read."""
        named = {blank.name: blank.label for blank in self.blanks}
        return [(name, named.get(name, name), message) for name, message in self.errors.items()]


def _read(blank: Blank, text: str) -> Any:
    if len(text) > blank.most:
        raise Refused(f"{blank.most:,} characters at the most; this has {len(text):,}.")
    return blank.read(text.strip())


def posted_texts(post: Any, blanks: Sequence[Blank], *, prefix: str = "") -> dict[str, str]:
    """Return the texts of the blanks as they were posted, of what a database can keep."""
    return {blank.name: kept(_posted(post, blank, prefix + blank.name)) for blank in blanks}


def _posted(post: Any, blank: Blank, name: str) -> str:
    if post.get(f"theirs-{name}"):
        return str(post.get(f"their-{name}", ""))
    if blank.kind == "check":
        return "yes" if post.get(name) else ""
    return str(post.get(name, ""))


def kept(text: str) -> str:
    """Return a text as it can be kept: without nulls and lone surrogates, of bounded length."""
    return text.replace("\0", "").encode("utf-8", "ignore").decode()[:MOST_KEPT]
