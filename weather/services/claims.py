"""Who fetches what: claiming the day's rows, and writing down how it went."""

import random
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Final

from django.db.models import F, QuerySet
from django.db.models.expressions import CombinedExpression
from django.utils import timezone

from weather.models import FetchDay, WeatherCell
from weather.providers.base import Problem

State = FetchDay.State

MOST_ATTEMPTS: Final = 6
FIRST_WAIT: Final = timedelta(minutes=10)
LONGEST_WAIT: Final = timedelta(hours=2)
# If whoever claimed a row dies, the next drain takes it up again after this.
LEASE: Final = timedelta(minutes=15)


def claim(*, cells: Sequence[WeatherCell], on: date, again: bool) -> list[WeatherCell]:
    """Return those of ``cells`` whose pull for ``on`` is now ours: not done yet, or asked for ``again``."""
    FetchDay.objects.bulk_create(
        [FetchDay(cell=cell, date=on) for cell in cells], ignore_conflicts=True, batch_size=1000
    )
    rows = FetchDay.objects.filter(cell__in=cells, date=on)
    if not again:
        rows = rows.exclude(state=State.DONE)
    seen = _as_seen(rows)
    lease = timezone.now() + LEASE + timedelta(microseconds=random.randrange(60_000_000))
    for (state, attempts), pks in seen.items():
        # Whoever updates first changes what the other's filter looks for.
        FetchDay.objects.filter(pk__in=pks, state=state, attempts=attempts).update(
            state=State.DUE, attempts=_next(state), next_attempt_at=lease
        )
    ours = set(rows.filter(next_attempt_at=lease).values_list("cell_id", flat=True))
    return [cell for cell in cells if cell.pk in ours]


def settle(
    *, cells: Sequence[WeatherCell], on: date, problems: Iterable[Problem], source: str
) -> list[Problem]:
    """Write down how the claimed pulls went and return each failed cell's first problem."""
    first: dict[int, Problem] = {}
    for problem in problems:
        first.setdefault(problem.cell_id, problem)
    done = [cell.pk for cell in cells if cell.pk not in first]
    rows = FetchDay.objects.filter(date=on)
    rows.filter(cell__in=done).update(
        state=State.DONE, next_attempt_at=None, code="", message="", source=source
    )
    # This pull reached back over whatever earlier ones still missed.
    FetchDay.objects.filter(cell__in=done, date__lt=on, state__in=(State.DUE, State.FAILED)).update(
        state=State.DONE, next_attempt_at=None, code="covered", message=f"Covered by the pull of {on}."
    )
    for row in rows.filter(cell__in=first):
        _write_failure(row, first[row.cell_id], source=source)
    return [first[cell.pk] for cell in cells if cell.pk in first]


def _as_seen(rows: QuerySet[FetchDay]) -> dict[tuple[str, int], list[int]]:
    seen: dict[tuple[str, int], list[int]] = defaultdict(list)
    for pk, state, attempts in rows.values_list("pk", "state", "attempts"):
        seen[state, attempts].append(pk)
    return seen


def _next(state: str) -> CombinedExpression | int:
    # Asked for again after it was done, or once given up: the count starts anew.
    return 1 if state in (State.DONE, State.GIVEN_UP) else F("attempts") + 1


def _write_failure(row: FetchDay, problem: Problem, *, source: str) -> None:
    again = problem.retryable and row.attempts < MOST_ATTEMPTS
    FetchDay.objects.filter(pk=row.pk).update(
        state=State.FAILED if again else State.GIVEN_UP,
        next_attempt_at=_next_attempt(row, problem) if again else None,
        code=problem.code,
        message=problem.message[:300],
        source=source,
    )


def _next_attempt(row: FetchDay, problem: Problem) -> datetime:
    wait = min(FIRST_WAIT * 2 ** max(row.attempts - 1, 0), LONGEST_WAIT) * random.uniform(0.9, 1.1)
    return max(timezone.now() + wait, problem.retry_at or timezone.now())
