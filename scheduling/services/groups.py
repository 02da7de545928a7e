"""What one decision is about: a program, or a whole controller where one percent serves all its programs."""

from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date

import numpy as np

from fleet.models import Controller, Site
from fleet.selectors.policies import PolicyInForce
from scheduling.delivery import channel_named
from scheduling.delivery.base import Channel
from scheduling.models import Program
from scheduling.numerics.percent_search import BEARABLE, BEARABLE_UNSEEN
from scheduling.season.away import zones_away
from scheduling.season.field import Field

READY, INCOMPLETE, NO_WEATHER, LEFT_ALONE = "ready", "incomplete", "no weather", "left alone"


@dataclass
class Group:
    """One decision unit of the fleet and how it stands."""

    controller: Controller
    site: Site
    columns: list[int]  # places on the programs axis
    lead: Program  # the program the change hangs on
    policy: PolicyInForce
    channel: Channel
    state: str = READY
    missing: list[tuple[str, list[str]]] = dataclass_field(default_factory=list)
    zones: list[int] = dataclass_field(default_factory=list)  # places on the zones axis, in order
    runs: list[int] = dataclass_field(default_factory=list)  # places on the runs axis
    current: int = 100
    next_visits: list[date] = dataclass_field(default_factory=list)

    @property
    def bearable(self) -> float:
        """Return the stress that counts as none, less where nobody comes by for weeks. [-]"""
        return BEARABLE_UNSEEN if self.channel.needs_visit else BEARABLE

    @property
    def whole_controller(self) -> bool:
        """Tell whether one percent serves the whole controller."""
        return self.controller.percent_scope == Controller.PercentScope.CONTROLLER


def groups_of(field: Field, *, policies: dict[int, PolicyInForce]) -> list[Group]:
    """Return every decision unit of the field, ready or not, in the order of its controllers."""
    sites = {site.pk: site for site in field.rows.sites}
    columns = field.columns_of_controller
    runs_of: dict[int, list[int]] = {}
    for run, program_place in enumerate(field.program_of_run):
        runs_of.setdefault(int(program_place), []).append(run)
    zones_named = {zone.pk: f"zone {zone.number}" for zone in field.rows.zones}
    named_runs: dict[int, list[int]] = {}
    for entered in field.rows.runs:
        named_runs.setdefault(entered.program_id, []).append(entered.zone_id)
    away = zones_away(field.rows.episodes, on=field.rows.on)
    groups = []
    for controller in field.rows.controllers:
        site = sites[controller.site_id]
        for places in _split(controller, columns.get(controller.pk, [])):
            group = Group(
                controller=controller,
                site=site,
                columns=places,
                lead=field.programs[places[0]],
                policy=policies[site.client_id],
                channel=channel_named(controller.delivery),
                current=int(field.percents[field.today + 1, places[0]]),
                next_visits=[day for site_id, day in field.rows.visits if site_id == site.pk],
            )
            zone_ids = {z for place in places for z in named_runs.get(field.programs[place].pk, [])}
            group.missing = [
                (zones_named[z], field.missing[z])
                for z in sorted(zone_ids)
                if z in field.missing and z not in away
            ]
            group.runs = [
                run
                for place in places
                for run in runs_of.get(place, [])
                if field.zones[field.zone_of_run[run]].pk not in away
            ]
            group.zones = sorted({int(field.zone_of_run[run]) for run in group.runs})
            group.state = _state(group, field)
            groups.append(group)
    return groups


def _split(controller: Controller, columns: list[int]) -> Iterator[list[int]]:
    if controller.percent_scope == Controller.PercentScope.CONTROLLER:
        if columns:
            yield columns
    else:
        yield from ([column] for column in columns)


def _state(group: Group, field: Field) -> str:
    if group.missing:
        return INCOMPLETE
    if not field.minutes[group.runs].any() or not field.planned[field.today :, group.columns].any():
        return LEFT_ALONE  # nothing a percent could move
    cell = field.column_of(group.site)
    if np.isnan(field.weather.reference_et_mm[:, cell]).any() or field.weather.fallback_days[cell] > 3:
        return NO_WEATHER
    return READY
