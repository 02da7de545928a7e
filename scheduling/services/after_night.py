"""What other apps do once a timezone's night is over: they say so when they start, none stops the night."""

import logging
from collections.abc import Callable
from datetime import date
from typing import Protocol

log = logging.getLogger(__name__)


class Step(Protocol):
    """Does something after a night; running it twice must change nothing."""

    def __call__(self, *, on: date, timezone: str) -> object: ...


STEPS: list[Callable[..., object]] = []


def after_night(step: Step) -> None:
    """Let a step run after every night; said twice it runs once."""
    if step not in STEPS:
        STEPS.append(step)


def run_steps(*, on: date, timezone: str) -> None:
    """Run every step; what goes wrong in one is logged and stops nothing."""
    for step in STEPS:
        try:
            step(on=on, timezone=timezone)
        except Exception:
            log.exception("A step after the night of %s, %s, failed.", on, timezone)
