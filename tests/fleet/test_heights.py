"""Assumed heights are set right by the weather source, where it says something of its own."""

import pytest

from fleet.services.heights import take_source_heights
from tests.cast import Cast
from weather.services.cells import cell_for

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("basis", "said", "height", "known"),
    [
        ("assumed", 420.0, 420.0, "table"),
        ("assumed", 310.0, 310.0, "assumed"),  # only what it was asked for
        ("assumed", None, 310.0, "assumed"),
        ("assumed", 9_000.0, 310.0, "assumed"),
        ("measured", 420.0, 310.0, "measured"),
    ],
)
def test_only_what_was_assumed_and_only_by_the_sources_own_word(cast: Cast, basis, said, height, known):
    site = cast.site
    site.cell = cell_for(
        latitude=site.latitude, longitude=site.longitude, elevation_m=310.0, timezone=site.timezone
    )
    site.cell.source_elevation_m = said
    site.cell.save()
    site.elevation_basis = basis
    site.save()
    before = site.cell
    assert take_source_heights([site]) == (known == "table")
    site.refresh_from_db()
    assert (site.elevation_m, site.elevation_basis) == (height, known)
    assert (site.cell == before) == (known != "table"), "110 m is beyond what shares a cell"
