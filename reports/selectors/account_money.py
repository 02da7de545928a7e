"""What the savings of some programs were worth: flat prices by the litre, tiers by each site's bills."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from fleet.models import Site, Tariff
from reports.numerics.bill import cents
from reports.selectors.billed import Billed, billed_use
from reports.selectors.program_days import ProgramDays
from reports.selectors.worth import Valued, Water, tiered_worth, words_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Prices:
    """The price of water at each program's site, and what the bills of sites with tiers go by."""

    sites: list[Site]  # of each program
    billed: dict[int, Billed]

    def currency(self, some: Bools) -> str:
        """Return the currency of some programs; the company's where they have several or none."""
        named = self.currencies(some)
        return named[0] if len(named) == 1 else self.sites[0].client.company.currency if self.sites else ""

    def currencies(self, some: Bools) -> list[str]:
        """Return the currencies of the prices at some programs."""
        return sorted({site.tariff.currency for site in self._chosen(some) if site.tariff is not None})

    def money(
        self, days: ProgramDays, rows: slice, some: Bools, saved_l: Floats
    ) -> tuple[Decimal | None, list[str]]:
        """Return what some programs saved in money, and in words how it was counted.

        None where the price of some of it isn't known or prices are in several currencies. ``saved_l`` is
        (rows, programs), as far as ``some`` says. A part of a site's programs is valued as if only that had
        been used in addition, so parts needn't add up to their site where tiers are crossed.
        """
        named = self.currencies(some)
        if len(named) > 1:
            return None, [f"prices in {' and '.join(named)} aren't added up"]
        total, words = Decimal(0), list[str]()
        for site in {site.pk: site for site in self._chosen(some)}.values():
            own = np.array([one.pk == site.pk for one in self.sites], dtype=bool)
            daily = saved_l[:, own & some].sum(axis=1)
            if site.tariff is None:
                return None, []
            if not site.tariff.tiers:
                total += Decimal(str(float(daily.sum()))) / 1000 * site.tariff.price_per_m3
                continue
            valued = self._at_tiers(site, site.tariff, days, rows, own, daily)
            words.append(f"money {words_of(site.tariff)}, {valued.words}")
            if valued.money is None:
                return None, words
            total += valued.money
        return cents(total), list(dict.fromkeys(words))

    def _at_tiers(
        self, site: Site, tariff: Tariff, days: ProgramDays, rows: slice, own: Bools, daily: Floats
    ) -> Valued:
        field, billed = days.field, self.billed.get(site.pk)
        of_site = {c.pk for c in field.rows.controllers if c.site_id == site.pk}
        area = sum(z.area_m2 or 0.0 for z in field.rows.zones if z.controller_id in of_site)
        water = Water(
            first=field.days[rows.start],
            saved_l=daily,
            used_l=days.applied_l[rows][:, own].sum(axis=1),
            counts=np.asarray(days.began[rows][:, own].any(axis=1)),
            metered_l=billed.daily_l[rows] if billed is not None else None,
            et_area_l=field.weather.reference_et_mm[rows][:, field.column_of(site)] * area,
        )
        return tiered_worth(tariff, water, bills=billed.bills if billed is not None else ())

    def _chosen(self, some: Bools) -> list[Site]:
        return [site for site, chosen in zip(self.sites, some, strict=True) if chosen]


def prices_of(sites: Sequence[Site], days: ProgramDays) -> Prices:
    """Return the prices behind some sites' days; meters are read only for sites whose bills have tiers."""
    site_of = {c.pk: c.site_id for c in days.field.rows.controllers}
    by_pk = {site.pk: site for site in sites}
    tiered = [site for site in sites if site.tariff is not None and site.tariff.tiers]
    billed: dict[int, Billed] = {}
    if tiered and days.days:
        billed = billed_use(
            [site.pk for site in tiered],
            first=days.days[0],
            last=days.days[-1],
            timezone=tiered[0].timezone,
        )
    return Prices([by_pk[site_of[controller]] for controller, _ in days.programs], billed)
