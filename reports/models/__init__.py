"""What came of it: monthly totals kept so that fleet pages read few rows."""

from reports.models.months import ProgramMonth

__all__ = ["ProgramMonth"]
