"""Load the season of some sites: rows, weather, arrays, balance, in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Min

from common import clock
from fleet.selectors.policies import PolicyInForce, policies_of
from scheduling.season.field import Field, build_field
from scheduling.season.rows import Rows, read_rows
from scheduling.season.site_rain import with_site_rain
from scheduling.season.sky import Sky, told_by
from scheduling.selectors.balance import Balance, balance_of
from weather.models import ObservedDay
from weather.season import weather_window

HORIZON_DAYS = 14
LONG_HORIZON_DAYS = 43
OLDEST_START_DAYS = 300


@dataclass(frozen=True)
class Loaded:
    """A season ready to decide on."""

    field: Field
    balance: Balance
    policies: dict[int, PolicyInForce]


def load_season(
    site_ids: Sequence[int],
    *,
    on: date,
    timezone: str,
    known_by: datetime | None = None,
    keep: bool = False,
    days_ahead: int = HORIZON_DAYS,
) -> Loaded:
    """Read some sites of one timezone and run their balance to the morning of ``on``.

    ``days_ahead`` is the least number of days the weather is filled for, ``on`` included.
    """
    rows = read_rows(site_ids, on=on)
    policies = policies_of({site.client_id for site in rows.sites})
    set_missing_starts(rows, on=on)
    starts = [site.balance_from for site in rows.sites if site.balance_from is not None]
    first = min([*starts, on - timedelta(days=1)])
    far = any(controller.delivery != "office" for controller in rows.controllers)
    cells = {site.cell.pk: site.cell for site in rows.sites if site.cell is not None}
    window = weather_window(
        cells=list(cells.values()),
        first=first,
        on=on,
        last=on + timedelta(days=max(days_ahead, LONG_HORIZON_DAYS if far else HORIZON_DAYS) - 1),
        known_by=known_by or clock.known_by(on, timezone),
    )
    window, own, seen = with_site_rain(window, rows.sites, rows.rain)
    field = build_field(
        rows,
        Sky(window, told_by(cells, first=first, on=on), own=own, rain_seen=seen),
        boundaries={client: policy.uniformity_margin for client, policy in policies.items()},
    )
    return Loaded(field=field, balance=balance_of(field, keep=keep), policies=policies)


def set_missing_starts(rows: Rows, *, on: date) -> None:
    """Give every site without one a start of its soil water account, in memory: the first observed day.

    The nightly run stores it; the account is anchored there and never slides.
    """
    unknown = [site for site in rows.sites if site.balance_from is None and site.cell_id is not None]
    if not unknown:
        return
    oldest = dict(
        ObservedDay.objects.filter(
            cell__in={site.cell_id for site in unknown},
            date__gte=on - timedelta(days=OLDEST_START_DAYS),
            date__lt=on,
        )
        .values_list("cell")
        .annotate(first=Min("date"))
    )
    for site in unknown:
        site.balance_from = oldest.get(site.cell_id, on)
