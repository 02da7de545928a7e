"""Everything the demo has put into the database so far, by the keys of its tables."""

from dataclasses import dataclass, field

from fleet.models import Client, Company, Controller, Site, Tariff, User, WateringRule, WaterSource, Zone
from scheduling.demo.dates import Calendar
from scheduling.models import Program


@dataclass
class Rows:
    """Filled from top to bottom: each step of the loading reads what the steps before it have put in."""

    calendar: Calendar
    company: Company
    people: dict[str, User] = field(default_factory=dict)
    tariffs: dict[str, Tariff] = field(default_factory=dict)
    rules: dict[str, WateringRule] = field(default_factory=dict)
    clients: dict[str, Client] = field(default_factory=dict)
    sites: dict[str, Site] = field(default_factory=dict)
    sources: dict[str, WaterSource] = field(default_factory=dict)
    controllers: dict[str, Controller] = field(default_factory=dict)
    zones: dict[tuple[str, int], Zone] = field(default_factory=dict)
    programs: dict[tuple[str, str], Program] = field(default_factory=dict)
