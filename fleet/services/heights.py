"""Heights of sites that were only assumed, set right where the weather source names one of its own."""

from collections.abc import Iterable

from django.db import transaction

from fleet.models import Site
from weather.services.cells import cell_for

OWN_WORD_M = 5.0  # nearer to what was asked for than this, a source only repeats it


def take_source_heights(sites: Iterable[Site]) -> int:
    """Give assumed heights what the weather source says of its grid point; return how many were set right.

    A source that is asked for a height may answer with that very height: that says nothing. A height that
    moves far enough gives the site a weather cell of its own.
    """
    right = 0
    for site in sites:
        cell = site.cell
        if (
            site.elevation_basis != Site.HeightBasis.ASSUMED
            or cell is None
            or cell.source_elevation_m is None
        ):
            continue
        said = cell.source_elevation_m
        if abs(said - cell.elevation_m) <= OWN_WORD_M or not -430 <= said <= 6000:
            continue
        with transaction.atomic():
            site.elevation_m, site.elevation_basis = said, Site.HeightBasis.TABLE
            site.cell = cell_for(
                latitude=site.latitude,
                longitude=site.longitude,
                elevation_m=said,
                timezone=site.timezone,
            )
            site.save(update_fields=["elevation_m", "elevation_basis", "cell"])
        right += 1
    return right
