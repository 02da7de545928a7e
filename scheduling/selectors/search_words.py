"""How words that somebody looks for are compared with a row's texts, alike on every database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_, or_

from django.db.models import Case, F, IntegerField, Q, Value, When
from django.db.models.functions import Concat

LONGEST, SHORTEST, MOST_WORDS = 120, 2, 8
LARGEST_NUMBER = 2**31 - 1


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


def spellings(word: str) -> set[str]:
    """Return a word in the cases a name may have it in.

    SQLite folds the case of A to Z alone, so other letters are asked for in each case. Accents are never
    folded.
    """
    return {word} if word.isascii() else {word, word.lower(), word.upper(), word.capitalize()}


def says(field: str, word: str, how: str = "icontains") -> Q:
    """Return the condition that a field has a word, in whichever case."""
    return reduce(or_, (Q(**{f"{field}__{how}": spelled}) for spelled in sorted(spellings(word))))


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
