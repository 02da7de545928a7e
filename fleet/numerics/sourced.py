"""A table value with where it comes from and how sure we are of it, so that a page can show both."""

from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

T = TypeVar("T")

# confirmed: read in a public copy of the source; from memory: remembered from the source, not confirmed;
# assumed: our own choice inside a published range.
Standing = Literal["confirmed", "from memory", "assumed"]


@dataclass(frozen=True, slots=True)
class Sourced(Generic[T]):
    value: T
    source: str
    standing: Standing
