"""How words that somebody looks for are compared with a row's texts, alike on every database."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, reduce
from operator import and_, or_
from string import ascii_lowercase
from typing import Any

from django.db.models import Case, F, IntegerField, Q, Value, When
from django.db.models.functions import Concat, Length
from django.db.models.lookups import GreaterThan

LONGEST, SHORTEST, MOST_WORDS = 120, 2, 8
LARGEST_NUMBER = 2**31 - 1
STROKES = str.maketrans("øłđðħı", "olddhi")  # letters with a stroke, which don't come apart


@dataclass(frozen=True)
class Words:
    """What is looked for: every word must be found."""

    text: str
    cut: bool = False

    @property
    def each(self) -> list[str]:
        """Return the words, each once, no more than can sensibly be meant."""
        return list(dict.fromkeys(self.text.split()))[:MOST_WORDS]

    @property
    def too_short(self) -> bool:
        """Tell whether so little was written that nearly everything would be found; a number is enough."""
        return len(self.text) < SHORTEST and not self.text.isdecimal()


def words_of(written: str) -> Words:
    """Return what to look for, from whatever was written."""
    text = " ".join(written.replace("\0", " ").split())
    return Words(text[:LONGEST].strip(), cut=len(text) > LONGEST)


def number_of(word: str) -> int | None:
    """Return the number a word such as ``12`` or ``#12`` means."""
    digits = word.removeprefix("#")
    if not (digits.isascii() and digits.isdecimal()) or len(digits) > len(str(LARGEST_NUMBER)):
        return None
    return int(digits) if int(digits) <= LARGEST_NUMBER else None


def folded(text: str) -> str:
    """Return a text in lower case without accents: ``Muñoz`` is ``munoz``."""
    apart = unicodedata.normalize("NFKD", text.lower().translate(STROKES))
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


@cache
def _alike() -> dict[str, str]:
    """Return every letter from a to z with all that fold to it, both cases."""
    alike: dict[str, str] = {letter: letter + letter.upper() for letter in ascii_lowercase}
    for number in range(0xC0, 0x250):  # Latin with accents
        sign = chr(number)
        base = folded(sign)
        if base in alike and sign not in alike[base]:
            alike[base] += sign
    return alike


def pattern(word: str) -> str:
    """Return what a word looks like with any accents and in either case, for both databases."""
    return "".join(_one(sign) for sign in folded(word))


def _one(sign: str) -> str:
    if sign in _alike():
        return f"[{_alike()[sign]}]"
    return f"[{sign}{sign.upper()}]" if sign.isalpha() and len(sign.upper()) == 1 else re.escape(sign)


class _Bytes(Length):
    """How many bytes a text takes: more than letters where it has any beyond ASCII."""

    function = "octet_length"

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return super().as_sql(compiler, connection, template="LENGTH(CAST(%(expressions)s AS BLOB))", **more)


HOW = {"icontains": "{}", "istartswith": "^{}", "iexact": "^{}$"}


def says(field: str, word: str, how: str = "icontains") -> Q:
    """Return the condition that a field has a word, in whichever case and with whichever accents.

    Only a text with a letter beyond ASCII needs the slower look by pattern.
    """
    plain = Q(**{f"{field}__{how}": folded(word)})
    if not any(sign.isalpha() for sign in word):
        return plain
    beyond = Q(GreaterThan(_Bytes(field), Length(field)))
    return plain | (beyond & Q(**{f"{field}__iregex": HOW[how].format(pattern(word))}))


def matching(
    words: Sequence[str], *, own: Sequence[str], place: Sequence[str], number: str, nouns: Sequence[str]
) -> Q:
    """Return the condition that all words are a row's or its place's, and at least one its own.

    ``nouns`` are what the rows are called: ``zone 3`` is the zone with number 3.
    """
    meant = [word for word in words if word.lower() not in nouns] or list(words)
    of_row = [_own(word, own, number) for word in meant]
    of_place = [reduce(or_, (says(field, word) for field in place), Q(pk__in=[])) for word in meant]
    everywhere = reduce(and_, (row | where for row, where in zip(of_row, of_place, strict=True)))
    return everywhere & reduce(or_, of_row)


def rank(words: Sequence[str], *, main: str, number: str) -> Case:
    """Return how well a row fits: its number or name, a whole word, a word's beginning, inside a word."""
    phrase = " ".join(words)
    digits = [n for n in (number_of(word) for word in words) if n is not None]
    first = [When(**{f"{number}__in": digits}, then=Value(0))] if number and digits else []
    return Case(
        *first,
        When(says(main, phrase, "iexact"), then=Value(0)),
        When(says("padded", f" {words[0]} "), then=Value(1)),
        When(says(main, words[0], "istartswith"), then=Value(2)),
        When(says("padded", f" {words[0]}"), then=Value(3)),
        default=Value(4),
        output_field=IntegerField(),
    )


def padded(main: str) -> Concat:
    """Return a text between two spaces, so that a whole word can be told from a part of one."""
    return Concat(Value(" "), F(main), Value(" "))


def _own(word: str, own: Sequence[str], number: str) -> Q:
    found = reduce(or_, (says(field, word) for field in own), Q(pk__in=[]))
    digits = number_of(word)
    return found | Q(**{number: digits}) if number and digits is not None else found
