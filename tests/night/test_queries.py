"""Loading a season costs the same number of queries whatever the number of sites."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scheduling.selectors.season_load import load_season
from scheduling.selectors.site_state import site_state
from tests.night.garden import ON, TIMEZONE, Garden, garden, weather

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def gardens(count: int) -> list[Garden]:
    made = [
        garden(
            f"Garden{n}", zones=2, place=(36.0 + 0.06 * n, -121.0, 100.0), controller={"delivery": "on_site"}
        )
        for n in range(count)
    ]
    for one in made:
        weather(one.cell)
    return made


def queries(sites: list[int]) -> int:
    with CaptureQueriesContext(
        connection,
    ) as seen:
        load_season(sites, on=ON, timezone=TIMEZONE)
    return len(seen)


def test_a_season_of_eight_sites_costs_what_one_costs() -> None:
    ids = [one.site.pk for one in gardens(8)]
    assert queries(ids) == queries(ids[:1]) <= 21


def test_a_site_page_reads_its_site_alone() -> None:
    one, other = gardens(2)
    state = site_state(one.site, on=ON)
    assert {zone.zone.controller_id for zone in state.zones} == {one.controller.pk}
    assert other.controller.pk not in {program.program.controller_id for program in state.programs}
    assert all(zone.depletion_mm is not None for zone in state.zones)
