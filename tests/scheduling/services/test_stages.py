"""Switching a town's stage: what it counts, what it writes, what taking back restores; all invented."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from common.errors import MovedOn, NotAllowed, Refused
from fleet.models import Controller, Site, Town, WateringRule, ZoneCut, ZoneEpisode
from fleet.services.edits import change_row
from scheduling.models import ZoneRun
from scheduling.selectors.cuts import by_plants, cuts_in_force
from scheduling.selectors.season_load import read_rows
from scheduling.selectors.stage_effect import not_complying, stage_effect
from scheduling.services.stages import switch_stage, take_back_switch
from tests.cast import TODAY, Cast, a_cast, a_program, a_site, a_zone

pytestmark = pytest.mark.django_db
SURVEY = {
    "head": "spray", "soil": "loam", "slope_percent": 2, "sun": "full", "area_m2": 100.0,
    "root_depth_mm": 200,
    "uniformity": 0.7, "precipitation_rate_mm_h": 30,
}  # fmt: skip


@pytest.fixture
def cast() -> Cast:
    return a_cast()


@pytest.fixture
def town(cast: Cast) -> Town:
    """Stage 1 lets all water on any day, stage 2 odd addresses on odd dates with a fifth less water."""
    town = Town.objects.create(company=cast.company, name="Upper Vale", stage=1)
    WateringRule.objects.create(company=cast.company, name="one", town=town, stage=1)
    WateringRule.objects.create(
        company=cast.company, name="two", town=town, stage=2, parity="address", less_percent=20
    )
    Site.objects.filter(pk=cast.site.pk).update(town=town, address="7 Elm")
    return town


def switch(town: Town, cast: Cast, stage: int = 2, since: date = TODAY):
    return switch_stage(town=town, by=cast.owner, stage=stage, since=since, on=TODAY)


def planted(cast: Cast) -> dict[str, float | None]:
    """Return the shares the zones of the cast are held at, by plant."""
    cuts = cuts_in_force([cast.site.pk], night=TODAY)
    return {z.plant: cuts[z.pk].factor if z.pk in cuts else None for z in cast.controller.zones.all()}


def a_garden(cast: Cast) -> None:
    for number, plant in enumerate(("trees", "shrubs", "cool_turf"), start=11):
        a_zone(cast.controller, number, plant=plant, **SURVEY)


def test_the_effect_is_counted_before_anything_is_saved(cast: Cast, town: Town):
    effect = stage_effect(cast.owner, town, stage=2, since=TODAY)
    assert (effect.sites, len(effect.then), len(effect.now)) == (1, 1, 0)  # waters daily
    assert effect.by_limit == [("a day it forbids", 1)]
    assert [site.pk for site in effect.less] == [cast.site.pk] and not effect.unknown
    assert not ZoneCut.objects.exists() and Town.objects.get().stage == 1


def test_a_site_whose_house_number_nobody_knows_is_named(cast: Cast, town: Town):
    Site.objects.update(address="The mill")
    assert [s.pk for s in stage_effect(cast.owner, town, stage=2, since=TODAY).unknown] == [cast.site.pk]


def test_a_switch_holds_from_its_night_on_and_lists_what_breaks_it(cast: Cast, town: Town):
    since = TODAY + timedelta(days=3)
    switch(town, cast, since=since)
    town.refresh_from_db()
    assert [town.stage_on(since - timedelta(days=1)), town.stage_on(since)] == [1, 2]
    assert [c.pk for c, _ in not_complying(cast.owner, town, since=since)] == [cast.controller.pk]
    # Seven nights before the switch reach three nights into it: the same program breaks those alone.
    assert [c.pk for c, _ in not_complying(cast.owner, town, since=TODAY - timedelta(days=9))] == []


def test_a_cut_keeps_trees_first_and_ends_with_the_stage(cast: Cast, town: Town):
    a_garden(cast)
    switch(town, cast)
    # In July by area alike: trees and shrubs 0.5 each, cool turf 0.94: 1.94 in all, of which 0.388 is to be
    # saved. Turf alone can give it: 1 - 0.388 / 0.94 = 0.587, more than the 0.3 it is left at least.
    held = planted(cast)
    assert held["trees"] is None and held["shrubs"] is None
    assert held["cool_turf"] == pytest.approx(1 - 0.388 / 0.94, abs=1e-4)
    (line,) = by_plants(cuts_in_force([cast.site.pk], night=TODAY).values())
    assert (line.plants, line.percent, line.reason) == (
        "Cool-season turf", 59, "Upper Vale, stage 2: 20 % less water",
    )  # fmt: skip
    rows = read_rows([cast.site.pk], on=TODAY)
    assert [round(factor, 3) for _, _, factor in rows.trims] == [0.587]
    town.refresh_from_db()
    switch_stage(town=town, by=cast.owner, stage=0, since=TODAY + timedelta(days=5), on=TODAY)
    assert ZoneCut.objects.get().effective_to == TODAY + timedelta(days=4)
    assert not cuts_in_force([cast.site.pk], night=TODAY + timedelta(days=5))


def test_zones_not_watered_by_need_are_left_out_of_a_cut(cast: Cast, town: Town):
    a_garden(cast)
    turf = cast.controller.zones.get(plant="cool_turf")
    ZoneEpisode.objects.create(zone=turf, kind="grow-in", effective_from=TODAY)
    switch(town, cast)
    assert planted(cast)["cool_turf"] is None and planted(cast)["shrubs"] == pytest.approx(0.6)


def test_taking_back_restores_the_stage_and_the_cuts_before(cast: Cast, town: Town):
    a_garden(cast)
    switch(town, cast)
    before = list(ZoneCut.objects.values("zone", "factor", "effective_from", "effective_to"))
    edit = switch(town, cast, stage=1, since=TODAY + timedelta(days=2))
    assert list(ZoneCut.objects.values_list("effective_to", flat=True)) == [TODAY + timedelta(days=1)]
    take_back_switch(edit=edit, by=cast.owner)
    town.refresh_from_db()
    assert (town.stage, town.stage_from) == (2, TODAY)
    assert list(ZoneCut.objects.values("zone", "factor", "effective_from", "effective_to")) == before
    with pytest.raises(MovedOn):
        take_back_switch(edit=edit, by=cast.owner)


@pytest.mark.parametrize(
    ("stage", "since"),
    [(1, TODAY), (3, TODAY), (2, TODAY - timedelta(days=1)), (2, TODAY + timedelta(days=400))],
)
def test_what_cannot_be_switched_is_refused(cast: Cast, town: Town, stage, since):
    with pytest.raises(Refused):
        switch(town, cast, stage=stage, since=since)
    assert Town.objects.get().stage_from is None


def test_a_switch_ahead_is_taken_back_before_another(cast: Cast, town: Town):
    switch(town, cast, since=TODAY + timedelta(days=3))
    with pytest.raises(Refused, match="still ahead"):
        switch(town, cast, stage=0)


def test_technicians_and_others_switch_nothing(cast: Cast, town: Town):
    for by in (cast.technician, cast.client_person, a_cast("Others", "others.test").owner):
        with pytest.raises(NotAllowed):
            switch_stage(town=town, by=by, stage=2, since=TODAY, on=TODAY)


def test_a_town_of_another_company_gives_no_rule(cast: Cast, town: Town):
    other = a_cast("Others", "others.test")
    rule = WateringRule.objects.create(company=other.company, name="theirs")
    with pytest.raises(Refused):
        change_row(
            row=rule,
            by=other.owner,
            company_id=other.company.pk,
            decide=lambda r: {"town_id": town.pk, "stage": 1},
        )


def test_two_hundred_sites_are_counted_in_as_many_queries_as_one(cast: Cast, town: Town):
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            stage_effect(cast.owner, Town.objects.get(), stage=2, since=TODAY)
        return len(seen)

    queries()  # who may see what is read once a person
    few = queries()
    for n in range(199):
        box = Controller.objects.create(
            site=a_site(cast.client, f"Lot {n}", town=town, address=f"{n + 1} Elm"), name="Box"
        )
        ZoneRun.objects.create(program=a_program(box), zone=a_zone(box), minutes=9)
    assert queries() == few <= 12
    effect = stage_effect(cast.owner, town, stage=2, since=TODAY)
    assert effect.sites == 200
    with CaptureQueriesContext(connection) as seen:
        switch(town, cast)
    assert len(seen) <= 25
