"""The twelve months of every demo controller, against a plain balance of the season they would last."""

from datetime import date, timedelta
from typing import Any

import pytest

from common import clock
from fleet.models import Controller, Zone
from fleet.numerics.landscape_coefficient import landscape_coefficient
from fleet.numerics.soils import SOILS
from fleet.numerics.sun import SUNS
from scheduling.models import Program
from scheduling.numerics.gross_to_net import net_depth
from scheduling.season.survey import survey_arrays
from scheduling.selectors.year_card import YearCard, YearGroup, year_card

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # long, and as good on one database
MOST_STRESS = 0.005


def cards(**narrow) -> list[YearCard]:
    chosen = Controller.objects.filter(**narrow).select_related(
        "site__client", "site__watering_rule", "site__cell"
    )
    return [year_card(one, on=clock.today(one.site.timezone)) for one in chosen]


def stress(zone: Zone, programs: list[Program], percent: int, *, month: int, et: float, on: date) -> float:
    """Return the mean stress of four weeks at the end of a year of one month's weather, written out."""
    soil = SOILS[zone.soil]
    taw = soil.capacity.value * zone.root_depth_mm * zone.wetted_share
    raw = taw * soil.depletion.value
    kl = landscape_coefficient(
        [zone.plant],
        microclimate=[SUNS[zone.sun].microclimate.value],
        southern=[zone.controller.site.latitude < 0],
    )[month - 1, 0]
    margin = 1.0
    application = survey_arrays([zone], southern=[False], boundary=[margin]).application
    step = zone.controller.minute_step
    wet = {}
    for run in zone.runs.filter(program__in=programs).select_related("program"):
        minutes = int(run.minutes * percent / 100 / step + 0.5 + 1e-9) * step
        chain = net_depth(minutes, application, cycle_min=run.cycle or float("inf"), soak_min=run.soak or 0.0)
        wet[run] = float(chain.net_mm[0])
    depletion, total = 0.9 * raw, 0.0
    for n in range(364):
        day = on + timedelta(days=n + 2)
        for run, depth in wet.items():
            for start in run.program.start_times():
                begins = day - timedelta(days=1) if start.hour >= 12 else day
                if run.program.waters_on(begins):
                    depletion = max(0.0, depletion - depth)
        ks = min(1.0, (taw - depletion) / (taw - raw))
        depletion = min(taw, depletion + min(1.0, ks) * et * kl) if ks > 0 else depletion
        if n >= 364 - 28:
            total += max(0.0, depletion - 0.9 * raw) / raw
    return total / 28


def one_zone_groups(card: YearCard) -> list[tuple[YearGroup, Zone]]:
    found = []
    for group in card.groups:
        zones = Zone.objects.filter(runs__program__in=group.programs).distinct()
        if group.months and zones.count() == 1 and not zones[0].trims.exists():
            found.append((group, zones[0]))
    return found


def test_percents_of_programs_with_one_zone_are_the_least_that_last(demo):
    checked = 0
    for card in cards():
        step, on = card.controller.percent_step, clock.today(card.controller.site.timezone)
        for group, zone in one_zone_groups(card):
            for month in (4, 7, 10):
                chosen = group.months[month - 1]
                told: dict[str, Any] = {"month": month, "et": card.et_mm_day[month - 1], "on": on}
                if chosen.shortened or chosen.dry_zone or chosen.percent in (20, 200):
                    continue  # bound by the night, the days or the policy
                assert stress(zone, group.programs, chosen.percent, **told) <= MOST_STRESS + 1e-6
                lower = stress(zone, group.programs, chosen.percent - step, **told)
                assert lower > MOST_STRESS - 1e-6, (card.controller, zone, month)
                checked += 1
    assert checked >= 12


def test_hot_months_need_no_less_than_cool_ones(demo):
    for card in cards():
        for group in card.groups:
            if group.months:
                percents = [month.percent for month in group.months]
                assert percents[6] >= max(percents[0], percents[11]), card.controller


def test_one_percent_serves_a_controller_that_holds_one(demo):
    for card in cards(percent_scope="controller"):
        assert len(card.groups) <= 1


def test_what_isnt_known_is_said(demo):
    controller = Controller.objects.select_related("site__client", "site__cell").first()
    on = clock.today(controller.site.timezone)
    Program.objects.filter(controller=controller).delete()
    assert year_card(controller, on=on).lacks == "a program"
    controller.site.cell = None
    assert year_card(controller, on=on).lacks == "what the months usually bring here"
