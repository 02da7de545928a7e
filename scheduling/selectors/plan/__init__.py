"""The plan of a controller: programs, days, minutes and starts from its survey, each number explained.

asked.py     what a plan is made from, and what a person overrules
need.py      what each zone needs and its soil and heads allow
letters.py   zones into programs        days.py     watering days
minutes.py   minutes, cycles, soaks     entries.py  orders and starts, as rows that aren't stored
judge.py     the worst night, what it does to each zone
stops.py     what isn't kept            ways_out.py what would help, computed
rows.py, words.py, reason.py            the answer, and why
"""

from scheduling.selectors.plan.asked import Asked, Overrides, ProgramOverride, ZoneOverride
from scheduling.selectors.plan.build import plan
from scheduling.selectors.plan.reason import Fact, Reason
from scheduling.selectors.plan.result import Plan, ProgramPlan, RunPlan, Stop, WayOut, ZonePlan

__all__ = [
    "Asked",
    "Fact",
    "Overrides",
    "Plan",
    "ProgramOverride",
    "ProgramPlan",
    "Reason",
    "RunPlan",
    "Stop",
    "WayOut",
    "ZoneOverride",
    "ZonePlan",
    "plan",
]
