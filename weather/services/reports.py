"""What a pull came to, in counts and plain words."""

from dataclasses import asdict, dataclass, field
from datetime import date
from typing import TypedDict

from weather.providers.base import Problem
from weather.providers.errors import WeatherSourceError


class Failure(TypedDict):
    """One thing that went wrong, in the shape the nightly run's log has."""

    scope: str
    id: int | str
    code: str
    message: str


@dataclass(kw_only=True)
class FetchReport:
    """Counts of cells and rows, one failure for each failed cell, and alerts that somebody should see."""

    on: date
    cells: int = 0
    already_done: int = 0
    done: int = 0
    observed_stored: int = 0
    forecast_stored: int = 0
    reference_et_filled: int = 0
    failures: list[Failure] = field(default_factory=list)
    alerts: list[Failure] = field(default_factory=list)

    @property
    def failed(self) -> int:
        return len(self.failures)

    def add_failures(self, problems: list[Problem]) -> None:
        """Add each failed cell's problem."""
        self.failures += [
            Failure(scope="cell", id=problem.cell_id, code=problem.code, message=problem.message)
            for problem in problems
        ]

    def add_alerts(self, source: str, errors: list[WeatherSourceError]) -> None:
        """Add what is wrong with the source as a whole."""
        self.alerts += [
            Failure(scope="source", id=source, code=error.code, message=error.message) for error in errors
        ]

    def add(self, other: "FetchReport") -> None:
        """Add another pull's counts, failures and alerts to this one."""
        for name in ("cells", "already_done", "done", "observed_stored", "forecast_stored"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.reference_et_filled += other.reference_et_filled
        self.failures += other.failures
        self.alerts += [alert for alert in other.alerts if alert not in self.alerts]

    def as_dict(self) -> dict[str, object]:
        """Return everything as plain values, the date in ISO form."""
        return {**asdict(self), "on": self.on.isoformat(), "failed": self.failed}
