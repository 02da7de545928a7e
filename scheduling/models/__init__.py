"""What to water: programs, settings in force, changes and their life, nightly runs."""

from scheduling.models.advice import Advice
from scheduling.models.changes import Change, ChangeEvent, Delivery
from scheduling.models.field_entries import FieldEntry
from scheduling.models.nightly import NightlyRun, NightlyRunCompany
from scheduling.models.programs import Program, Setting, Skip, ZoneRun

__all__ = [
    "Advice",
    "Change",
    "ChangeEvent",
    "Delivery",
    "FieldEntry",
    "NightlyRun",
    "NightlyRunCompany",
    "Program",
    "Setting",
    "Skip",
    "ZoneRun",
]
