"""The programs as they stand on a controller when it is taken over, ready to be entered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from string import ascii_uppercase
from typing import Any

from common.errors import Refused
from desk.set_up.amounts import CYCLE, MINUTES, whole_between
from desk.set_up.form import kept
from desk.set_up.zone_rows import ZoneRow
from desk.start_typed import start_of
from fleet.models.rules import WEEKDAYS
from scheduling.services.set_up import SaidProgram, SaidRun

MOST_LETTERS = 10
_percent = whole_between(0, 500)
Texts = Mapping[str, Any]


@dataclass
class Found:
    """What was found on one controller."""

    letters: list[str]
    texts: Texts
    night: date | None = None
    programs: list[SaidProgram] = field(default_factory=list)
    errors: dict[str, str] = field(default_factory=dict)

    @property
    def lines(self) -> list[dict[str, Any]]:
        """Return each program's texts with what is wrong with them."""
        return [
            {
                "letter": letter,
                **{
                    name: {"name": f"{letter}-{name}", "text": self.texts.get(f"{letter}-{name}", ""),
                           "error": self.errors.get(f"{letter}-{name}", "")}
                    for name in ("days", "starts", "percent")
                },
            }
            for letter in self.letters
        ]  # fmt: skip


def letters_of(program_capacity: int) -> list[str]:
    """Return the letters a controller's programs have."""
    return list(ascii_uppercase[: max(1, min(program_capacity, MOST_LETTERS))])


def names_of(letters: Sequence[str], rows: Sequence[ZoneRow]) -> list[str]:
    """Return the names of all fields of the page."""
    heads = [f"{letter}-{name}" for letter in letters for name in ("days", "starts", "percent")]
    runs = [f"z{row.texts['k']}-{name}" for row in rows for name in (*letters, "cycle", "soak")]
    return ["night", *heads, *runs]


def posted_found(post: Any, letters: Sequence[str], rows: Sequence[ZoneRow]) -> dict[str, str]:
    """Return the texts as they were posted; empty ones are left out."""
    texts = {name: kept(str(post.get(name, "")))[:300] for name in names_of(letters, rows)}
    return {name: text for name, text in texts.items() if text.strip()}


def read_found(texts: Texts, *, box: Mapping[str, Any], rows: Sequence[ZoneRow], today: date) -> Found:
    """Return the programs found; a letter without minutes, days and starts is no program."""
    found = Found(letters_of(int(box["program_capacity"])), texts)
    found.night = _night(found, today)
    for letter in found.letters:
        runs = [run for row in rows if (run := _run(found, letter, row)) is not None]
        days = _try(found, f"{letter}-days", _days) or ""
        starts = (
            _try(found, f"{letter}-starts", lambda text: _starts(text, int(box["starts_per_program"]))) or []
        )
        percent = _try(found, f"{letter}-percent", _percent)
        if runs or days or starts or percent is not None:
            _whole(found, letter, runs=runs, days=days, starts=starts)
            name = f"{letter}-percent"
            if percent is not None and percent > int(box["percent_max"]):
                found.errors[name] = f"This controller goes up to {box['percent_max']} %."
            found.programs.append(
                SaidProgram(
                    letter, days=days, starts=starts, percent=100 if percent is None else percent, runs=runs
                )
            )
    return found


def _whole(found: Found, letter: str, *, runs: Any, days: str, starts: Any) -> None:
    if not days:
        found.errors.setdefault(f"{letter}-days", "Say on which days it runs.")
    if not starts:
        found.errors.setdefault(f"{letter}-starts", "Say when it starts.")
    if not runs:
        found.errors.setdefault(f"{letter}-runs", f"Program {letter} has no minutes for any zone.")


def _run(found: Found, letter: str, row: ZoneRow) -> SaidRun | None:
    key = f"z{row.texts['k']}"
    minutes = _try(found, f"{key}-{letter}", lambda text: MINUTES.read(text, "us"))
    if not minutes or row.number is None:
        return None
    cycle = _try(found, f"{key}-cycle", lambda text: CYCLE.read(text, "us"))
    soak = _try(found, f"{key}-soak", lambda text: MINUTES.read(text, "us"))
    return SaidRun(row.number, minutes=minutes, cycle=cycle, soak=soak)


def _try(found: Found, name: str, read: Any) -> Any:
    try:
        return read(str(found.texts.get(name, "")).strip())
    except Refused as refused:
        found.errors[name] = refused.message
        return None


def _night(found: Found, today: date) -> date:
    text = str(found.texts.get("night", "")).strip()
    if not text:
        return today
    try:
        night = date.fromisoformat(text)
    except ValueError:
        found.errors["night"] = "Type the date as year-month-day, for example 2026-07-14."
        return today
    if not today - timedelta(days=3 * 366) <= night <= today:
        found.errors["night"] = "A day of the last three years, not later than today."
        return today
    return night


def _days(text: str) -> str:
    """Return days as programs keep them: ``daily``, ``odd``, ``even``, or weekdays."""
    words = text.lower().replace(",", " ").replace("/", " ").split()
    if not words:
        return ""
    if words in (["daily"], ["every", "day"], ["all"]):
        return "daily"
    if words[0] in ("odd", "even") and len(words) <= 2:
        return words[0]
    found = {day for word in words for day in WEEKDAYS if len(word) >= 2 and _is_day(word, day)}
    if len(found) != len(set(words)):
        raise Refused("Write daily, odd, even, or weekdays such as Mon Wed Fri.")
    return " ".join(day for day in WEEKDAYS if day in found)


FULL = dict(
    zip(WEEKDAYS, ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"), strict=True)
)


def _is_day(word: str, day: str) -> bool:
    return FULL[day].startswith(word)


def _starts(text: str, most: int) -> list[str]:
    starts = []
    for part in (part.strip() for part in text.replace(";", ",").split(",") if part.strip()):
        starts.append(_start(part))
    if len(starts) > most:
        raise Refused(f"This controller holds {most} starts a program.")
    return sorted(set(starts))


def _start(text: str) -> str:
    start = start_of(text)
    if start is None:
        raise Refused("Write starts such as 4:30 or 4:30 am, with commas between.")
    return start
