"""What came of it: monthly totals kept so that fleet pages read few rows, and the summaries clients get."""

from reports.models.months import ProgramMonth
from reports.models.summaries import Summary, SummaryLetter, SummaryPaper, SummaryStop

__all__ = ["ProgramMonth", "Summary", "SummaryLetter", "SummaryPaper", "SummaryStop"]
