"""What came of it: monthly totals kept so that fleet pages read few rows, baselines of meters, summaries."""

from reports.models.baselines import MeterBaseline, NonRoutineChange
from reports.models.months import ProgramMonth
from reports.models.summaries import Summary, SummaryLetter, SummaryPaper, SummaryStop

__all__ = [
    "MeterBaseline",
    "NonRoutineChange",
    "ProgramMonth",
    "Summary",
    "SummaryLetter",
    "SummaryPaper",
    "SummaryStop",
]
