"""What a change of minutes, days or programs would key in: its programs, before and after, whole.

Stored in ``Change.detail`` as JSON, always in this one shape::

    {"programs": [{"program": 52, "letter": "A", "name": "Lawns",
                   "before": {"days": "mon thu", "starts": ["03:30"], "percent": 100,
                              "runs": [{"zone": 203, "number": 3, "name": "South bank",
                                        "minutes": 24.0, "cycle": 8.0, "soak": 20.0}]},
                   "after": {...}}]}

The first program is the one the change hangs on. ``program`` is the version it was made from; it and
``before`` are null where the letter isn't in use yet. ``cycle`` and ``soak`` may be null.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from django.core.exceptions import ValidationError

from scheduling.models.programs import DAY_MINUTES, Program

MOST_PERCENT = 500


@dataclass(frozen=True)
class Ran:
    """One zone in a program: minutes at 100 percent, longest cycle and soak. [min]"""

    zone: int
    number: int
    name: str
    minutes: float
    cycle: float | None = None
    soak: float | None = None

    @property
    def held(self) -> tuple[int, float, float | None, float | None]:
        """Return what a controller holds of it."""
        return self.zone, self.minutes, self.cycle, self.soak


@dataclass(frozen=True)
class Holds:
    """What a program holds, its runs in their order."""

    days: str
    starts: tuple[str, ...]
    percent: int
    runs: tuple[Ran, ...]

    def same_as(self, other: Holds) -> bool:
        """Tell whether days, starts and runs are the same; percents move by themselves."""
        mine = self.days, self.starts, [run.held for run in self.runs]
        return mine == (other.days, other.starts, [run.held for run in other.runs])

    def run_of(self, zone: int) -> Ran | None:
        """Return the run of a zone."""
        return next((run for run in self.runs if run.zone == zone), None)


@dataclass(frozen=True)
class Altered:
    """One program as it was and as it would be; ``before`` is None for a letter not in use."""

    letter: str
    name: str
    program: int | None
    before: Holds | None
    after: Holds

    @property
    def percent_moves(self) -> bool:
        """Tell whether its percent is part of what is keyed in."""
        return self.before is None or self.before.percent != self.after.percent

    def at(self, percent: int) -> Altered:
        """Return the same at another percent afterwards."""
        return replace(self, after=replace(self.after, percent=percent))


@dataclass(frozen=True)
class Detail:
    """Every program a change touches."""

    programs: tuple[Altered, ...]

    @property
    def letters(self) -> list[str]:
        """Return the letters it touches, the one the change hangs on first."""
        return [one.letter for one in self.programs]

    @property
    def only_splits(self) -> bool:
        """Tell whether runs keep their minutes and are only split into cycles otherwise than before."""
        pairs = [(one.before, one.after) for one in self.programs]
        if any(was is None or was.same_as(then) or was.percent != then.percent for was, then in pairs):
            return False
        return all(_entered(was) == _entered(then) for was, then in pairs if was is not None)

    def as_json(self) -> dict[str, Any]:
        """Return it as it is stored."""
        told = asdict(self)
        return {"programs": [_plain(one) for one in told["programs"]]}

    def same_as(self, other: Detail) -> bool:
        """Tell whether it starts from the same and leads to the same, percents aside."""
        pairs = list(zip(self.programs, other.programs, strict=False))
        return self.letters == other.letters and all(
            mine.after.same_as(its.after)
            and (mine.before is None) == (its.before is None)
            and (mine.before is None or its.before is None or mine.before.same_as(its.before))
            for mine, its in pairs
        )


def _entered(held: Holds) -> tuple[Any, ...]:
    return held.days, held.starts, [(run.zone, run.minutes) for run in held.runs]


def _plain(one: dict[str, Any]) -> dict[str, Any]:
    for part in ("before", "after"):
        if one[part] is not None:
            one[part] |= {"starts": list(one[part]["starts"]), "runs": list(one[part]["runs"])}
    order = ("program", "letter", "name", "before", "after")
    return {name: one[name] for name in order}


def read_detail(stored: Any) -> Detail:
    """Read what is stored.

    Raises
    ------
    ValidationError
        If anything isn't in the shape above, or a value can't be; by the field ``detail``.
    """
    try:
        found = Detail(tuple(_altered(one) for one in _only(stored, {"programs"})["programs"]))
    except (KeyError, TypeError, ValueError) as error:
        raise ValidationError({"detail": f"Not in the shape of a detail: {error}."}) from None
    if not found.programs or len(set(found.letters)) < len(found.programs):
        raise ValidationError({"detail": "Name one program or more, each once."})
    return found


def _altered(stored: Any) -> Altered:
    said = _only(stored, {"program", "letter", "name", "before", "after"})
    before = None if said["before"] is None else _holds(said["before"])
    number = None if said["program"] is None else int(said["program"])
    if (before is None) != (number is None):
        raise ValueError("a program has a before, a new letter has none")
    return Altered(
        letter=str(said["letter"]),
        name=str(said["name"]),
        program=number,
        before=before,
        after=_holds(said["after"]),
    )


def _holds(stored: Any) -> Holds:
    said = _only(stored, {"days", "starts", "percent", "runs"})
    try:
        Program(days=said["days"], starts=said["starts"]).clean()
    except ValidationError as error:
        raise ValueError("; ".join(error.messages).rstrip(".")) from None
    percent = int(said["percent"])
    if not 0 <= percent <= MOST_PERCENT:
        raise ValueError(f"percent holds {percent}, accepted 0 to {MOST_PERCENT}")
    runs = tuple(_ran(run) for run in said["runs"])
    if len({run.zone for run in runs}) < len(runs):
        raise ValueError("a zone runs twice in a program")
    return Holds(str(said["days"]), tuple(said["starts"]), percent, runs)


def _ran(stored: Any) -> Ran:
    said = _only(stored, {"zone", "number", "name", "minutes", "cycle", "soak"})
    held = {name: _minutes(name, said[name]) for name in ("minutes", "cycle", "soak")}
    if held["minutes"] is None:
        raise ValueError("a run has minutes")
    return Ran(
        zone=int(said["zone"]),
        number=int(said["number"]),
        name=str(said["name"]),
        minutes=held["minutes"],
        cycle=held["cycle"],
        soak=held["soak"],
    )


def _minutes(name: str, value: Any) -> float | None:
    if value is None:
        return None
    least = 1.0 if name == "cycle" else 0.0
    if isinstance(value, bool) or not least <= float(value) <= DAY_MINUTES:
        raise ValueError(f"{name} holds {value}, accepted {least:g} to {DAY_MINUTES}")
    return float(value)


def _only(stored: Any, names: set[str]) -> Mapping[str, Any]:
    if not isinstance(stored, Mapping) or set(stored) != names:
        raise ValueError(f"expected exactly {', '.join(sorted(names))}")
    return stored
