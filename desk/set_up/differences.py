"""Two texts of one part beside each other, where two pages wrote at the same time."""

from typing import Any, NamedTuple

MOST_SHOWN = 100
WORDS = {"k": "", "rows": ""}


class Difference(NamedTuple):
    """One field that is different."""

    where: str
    mine: str
    theirs: str


def differences(mine: Any, theirs: Any) -> list[Difference]:
    """Return the fields in which two texts of a part differ, each in words."""
    ours, others = dict(_flat(mine)), dict(_flat(theirs))
    names = [name for name in {**ours, **others} if ours.get(name, "") != others.get(name, "")]
    return [
        Difference(name[:60], ours.get(name, "")[:200], others.get(name, "")[:200])
        for name in names[:MOST_SHOWN]
    ]


def _flat(texts: Any, name: str = "") -> list[tuple[str, str]]:
    if isinstance(texts, dict):
        return [
            one
            for key, value in texts.items()
            if key != "k"
            for one in _flat(value, f"{name} {WORDS.get(key, key)}".strip().replace("_", " "))
        ]
    if isinstance(texts, list):
        return [
            one for n, value in enumerate(texts, start=1) for one in _flat(value, f"{name} row {n}".strip())
        ]
    return [(name, str(texts))]
