"""What water costs: a flat price, or what a bill is made of."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from itertools import pairwise
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.companies import Company
from fleet.models.rules import between_days, day_of_year
from fleet.tenancy import TenantModel

MOST_TIERS = 24
TIER_FIELDS = ("above", "price", "season_from", "season_to")
YEAR = [date(2000, 1, 1) + timedelta(days=n) for n in range(366)]


class TariffTier(NamedTuple):
    """Water above ``above`` costs ``price`` a unit; all year, or from one day of the year to another."""

    above: Decimal
    price: Decimal
    season_from: str = ""
    season_to: str = ""

    @property
    def season(self) -> tuple[str, str]:
        """Return the days of the year it holds in, both empty where it has none of its own."""
        return self.season_from, self.season_to

    def kept(self) -> dict[str, str]:
        """Return it as it is stored."""
        numbers = (f"{value.normalize():f}" for value in (self.above, self.price))
        return dict(zip(TIER_FIELDS, (*numbers, *self.season), strict=True))


def tiers_of(rows: Iterable[Mapping[str, Any]]) -> list[TariffTier]:
    """Return stored or typed tiers in order: those of all year first, then season by season.

    Raises
    ------
    ValidationError
        If they are no tiers of one bill; the words say which and why.
    """
    tiers = sorted((_tier(row) for row in rows), key=lambda tier: (tier.season, tier.above))
    if len(tiers) > MOST_TIERS:
        raise ValidationError(f"{MOST_TIERS} tiers at the most.")
    seasons: dict[tuple[str, str], list[Decimal]] = {}
    for tier in tiers:
        seasons.setdefault(tier.season, []).append(tier.above)
    for season, edges in seasons.items():
        when = f" from {season[0]} to {season[1]}" if season[0] else ""
        if edges[0] != 0:
            raise ValidationError(f"The lowest tier{when} begins above 0.")
        twice = next((a for a, b in pairwise(edges) if a == b), None)
        if twice is not None:
            raise ValidationError(f"Two tiers{when} begin above {twice:f}.")
    _cover_the_year([season for season in seasons if season[0]], rest=("", "") in seasons or not tiers)
    return tiers


def _tier(row: Mapping[str, Any]) -> TariffTier:
    if not isinstance(row, Mapping) or set(row) - set(TIER_FIELDS):
        raise ValidationError("Each tier has above, price, and maybe season_from and season_to.")
    above = _amount(row.get("above"), most=Decimal(10_000_000), places=3, what="where a tier begins")
    price = _amount(row.get("price"), most=Decimal(100_000), places=6, what="a tier's price")
    first, last = (str(row.get(name) or "") for name in ("season_from", "season_to"))
    if bool(first) != bool(last):
        raise ValidationError("Say both ends of a season, or neither.")
    for end in filter(None, (first, last)):
        day_of_year(end)
    return TariffTier(above, price, first, last)


def _amount(value: Any, *, most: Decimal, places: int, what: str) -> Decimal:
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        raise ValidationError(f"Type {what} as a number alone, such as 3.84.") from None
    if not number.is_finite() or not 0 <= number <= most:
        raise ValidationError(f"Of {what}: it lies between 0 and {most:,f}.")
    if number != round(number, places):
        raise ValidationError(f"Of {what}: {places} decimals at the most.")
    return number


def _cover_the_year(seasons: list[tuple[str, str]], *, rest: bool) -> None:
    for day in YEAR if seasons else ():
        held = [season for season in seasons if between_days(*season, day)]
        if len(held) > 1:
            raise ValidationError(f"Two seasons hold on {day:%m-%d}.")
        if not held and not rest:
            raise ValidationError(f"No tier holds on {day:%m-%d}; leave the days of some tiers empty.")


def tiers_held(tiers: Iterable[TariffTier], day: date) -> list[TariffTier]:
    """Return the tiers that hold on a day: its season's, or those of the rest of the year."""
    rest, own = [], []
    for tier in tiers:
        if not tier.season_from:
            rest.append(tier)
        elif between_days(*tier.season, day):
            own.append(tier)
    return own or rest


def known_tiers(rows: Any) -> None:
    """Refuse what are no tiers of one bill."""
    if not isinstance(rows, list):
        raise ValidationError("Write tiers as a list.")
    tiers_of(rows)


class Tariff(TenantModel):
    """What water costs. Without tiers every cubic metre costs ``price_per_m3``: one tier.

    With tiers a saving is counted at the tiers it avoids, in ``unit`` and by ``period``; ``price_per_m3`` is
    then what changes ahead are told in, since nobody knows yet what else a bill will hold.
    """

    company_path = "company"

    class Unit(models.TextChoices):
        GAL = "gal", "gal"
        KGAL = "kgal", "1,000 gal"
        CCF = "ccf", "CCF (100 ft³)"
        M3 = "m3", "m³"
        L = "l", "L"

    class Period(models.TextChoices):
        MONTH = "month", "calendar month"
        TWO_MONTHS = "two_months", "two months, January and February first"
        BILL = "bill", "as the meter's bills run"

    class TiersIn(models.TextChoices):
        UNITS = "units", "units of the bill"
        BUDGET = "budget", "percent of the water budget"

    company = models.ForeignKey(Company, models.CASCADE, related_name="tariffs")
    name = models.CharField(max_length=120)
    price_per_m3 = models.DecimalField(max_digits=9, decimal_places=4)
    currency = models.CharField(max_length=3, default="USD")
    unit = models.CharField("unit of the bill", max_length=4, choices=Unit, default=Unit.M3)
    fixed_charge = models.DecimalField(
        "fixed charge of a bill", max_digits=9, decimal_places=2, default=Decimal(0)
    )
    period = models.CharField("a bill is for", max_length=10, choices=Period, default=Period.MONTH)
    prorated = models.BooleanField("tiers shrink with a short bill", default=False)
    whole_units = models.BooleanField("only whole units are billed", default=False)
    tiers_in = models.CharField("tiers begin at", max_length=6, choices=TiersIn, default=TiersIn.UNITS)
    budget_factor = models.FloatField(
        "share of reference ET the utility's water budget allows",
        default=0.8,
        validators=[MinValueValidator(0.1), MaxValueValidator(1.5)],
    )
    tiers = models.JSONField(default=list, blank=True, validators=[known_tiers])

    history = Kept()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["company", "name"], name="tariff_name_once"),
            models.CheckConstraint(
                condition=Q(price_per_m3__gte=0, fixed_charge__gte=0), name="tariff_price_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(unit__in=["gal", "kgal", "ccf", "m3", "l"])
                & Q(period__in=["month", "two_months", "bill"])
                & Q(tiers_in__in=["units", "budget"]),
                name="tariff_words",
            ),
        )

    def __str__(self) -> str:
        return self.name

    def tiers_on(self, day: date) -> list[TariffTier]:
        """Return the tiers that hold on a day, lowest first; none where the price is flat."""
        return tiers_held(tiers_of(self.tiers), day)
