"""What came of it: monthly totals that fleet pages read, baselines and alerts of meters, summaries."""

from reports.models.alerts import UseAlert
from reports.models.baselines import MeterBaseline, NonRoutineChange
from reports.models.months import MeterMonth, ProgramMonth, SiteMonth
from reports.models.summaries import Summary, SummaryLetter, SummaryPaper, SummaryStop

__all__ = [
    "MeterBaseline",
    "MeterMonth",
    "NonRoutineChange",
    "ProgramMonth",
    "SiteMonth",
    "Summary",
    "SummaryLetter",
    "SummaryPaper",
    "SummaryStop",
    "UseAlert",
]
