"""A saving in money at the tiers it avoids, bill by bill; every amount is reckoned by hand beside it."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from fleet.models import Controller, Meter, MeterBill, Site, Tariff
from fleet.models.tariffs import tiers_of
from reports.selectors.savings import client_savings
from reports.selectors.worth import Water, tiered_worth, worth_of
from scheduling.models import Program, Setting, ZoneRun
from tests.night.garden import ON, Garden, garden, weather, zone

JULY, DAY = date(2026, 7, 1), timedelta(days=1)
STEPS = [{"above": "0", "price": "1"}, {"above": "10", "price": "3"}]


def tariff(tiers: list[dict[str, str]] = STEPS, **fields: Any) -> Tariff:
    return Tariff(
        name="Town",
        price_per_m3="3",
        tiers=[one.kept() for one in tiers_of(tiers)],
        **{"unit": "m3", **fields},
    )


def days(count: int, *, saved_m3: float, used_m3: float, first: date = JULY, **fields: Any) -> Water:
    """Return some days whose water comes to these sums."""
    return Water(
        first=first,
        saved_l=np.full(count, 1000.0 * saved_m3 / count),
        used_l=np.full(count, 1000.0 * used_m3 / count),
        counts=np.ones(count, dtype=bool),
        **fields,
    )


@pytest.mark.parametrize(
    ("water", "worth"),
    [
        (days(31, saved_m3=4, used_m3=8), "8.00"),  # 2 at 1, 2 at 3
        (days(31, saved_m3=4, used_m3=12), "12.00"),
        (days(31, saved_m3=-4, used_m3=12), "-8.00"),  # without it 8: 2 at 1, 2 at 3
        (days(31, saved_m3=0, used_m3=12), "0.00"),
        # ten days of the month: the tier is 10 x 10/31 = 3.226 wide; 2 m3 of use and 2 of saving
        (days(10, saved_m3=2, used_m3=2), "3.55"),
        # July and August, half of it each: two bills of 8 and 4, not one of 16 and 8
        (days(62, saved_m3=8, used_m3=16), "16.00"),
    ],
)
def test_by_calendar_month(water: Water, worth: str):
    assert tiered_worth(tariff(), water).money == Decimal(worth)


def test_months_add_up_to_the_year():
    rng = np.random.default_rng(3)
    saved, used = rng.normal(200, 300, 365), rng.gamma(2.0, 200.0, 365)

    def worth(first: int, last: int) -> Decimal:
        some = slice(first, last)
        begin = date(2026, 1, 1) + first * DAY
        found = tiered_worth(
            tariff(), Water(begin, saved[some], used[some], np.ones(last - first, dtype=bool))
        ).money
        assert found is not None
        return found

    edges = [(date(2026, m, 1) - date(2026, 1, 1)).days for m in range(1, 13)] + [365]
    months = sum(worth(a, b) for a, b in pairwise(edges))
    assert abs(months - worth(0, 365)) <= Decimal("0.06")  # each month is rounded to the cent


def test_by_two_months_and_by_the_meters_bills():
    water = days(62, saved_m3=8, used_m3=16, first=JULY)  # 31 days of July, 31 of August
    # July and August lie on one bill: 8 m3 beyond 16, all at 3
    assert tiered_worth(tariff(period="two_months"), water).money == Decimal("24.00")
    bills = [(JULY, date(2026, 8, 31))]
    assert tiered_worth(tariff(period="bill"), water, bills=bills).money == Decimal("24.00")
    # days no bill holds count by months
    assert tiered_worth(tariff(period="bill"), water, bills=[]).money == Decimal("16.00")


def test_a_short_bill_is_prorated_only_if_the_tariff_says_so():
    water = days(15, saved_m3=4, used_m3=4)
    bills = [(JULY, JULY + 14 * DAY), (JULY - 30 * DAY, JULY - DAY), (JULY + 15 * DAY, JULY + 44 * DAY)]
    assert tiered_worth(tariff(period="bill"), water, bills=bills).money == Decimal("4.00")
    # 15 of the usual 30 days: the tier is 5 wide; 1 at 1, 3 at 3
    assert tiered_worth(tariff(period="bill", prorated=True), water, bills=bills).money == Decimal("10.00")


def test_whole_units_are_counted_on_whole_bills():
    # 8.9 + 1.2 = 10.1: ten whole ones instead of eight
    assert tiered_worth(tariff(whole_units=True), days(31, saved_m3=1.2, used_m3=8.9)).money == Decimal(
        "2.00"
    )
    assert tiered_worth(tariff(), days(31, saved_m3=1.2, used_m3=8.9)).money == Decimal("1.40")


def test_seasons_within_a_bill_count_by_their_days():
    summer = [{"above": "0", "price": "2", "season_from": "07-16", "season_to": "09-15"}]
    # 15 days at 1 and 3 (the tier is 10 x 15/31 = 4.839 wide), 16 days at 2; 31 m3 used, 31 saved: 1 a day
    found = tiered_worth(tariff([*STEPS, *summer]), days(31, saved_m3=31, used_m3=31)).money
    assert found == Decimal("77.00")  # 15 x 3 + 16 x 2


def test_tiers_by_a_budget():
    shares = [{"above": "0", "price": "1"}, {"above": "100", "price": "4"}]
    row = tariff(shares, tiers_in="budget", budget_factor=0.8)
    area_et = np.full(31, 5.0 * 100.0)  # 5 mm a day on 100 m2: a budget of 0.8 x 15.5 = 12.4 m3
    water = days(31, saved_m3=4, used_m3=10, et_area_l=area_et)
    assert tiered_worth(row, water).money == Decimal("8.80")  # 2.4 at 1, 1.6 at 4
    assert tiered_worth(row, days(31, saved_m3=4, used_m3=10)).money is None
    unknown = days(31, saved_m3=4, used_m3=10, et_area_l=np.full(31, np.nan))
    assert tiered_worth(row, unknown).money is None


@pytest.fixture
def lawn(db: None, settings: Any) -> Garden:
    """Five days as in the savings worked by hand: 5,440 L used, 2,560 L saved."""
    settings.AS_OF = ON
    place = garden("Heron", minutes=40.0, days="daily")
    weather(place.cell, et_mm=4.0)
    Setting.objects.create(program=place.program, percent=60, effective_from=ON - 5 * DAY)
    return place


STEPS_KEPT = [one.kept() for one in tiers_of(STEPS)]
HALVES = [one.kept() for one in tiers_of([{"above": "0", "price": "1"}, {"above": "50", "price": "3"}])]


def priced(place: Garden, **fields: Any) -> None:
    Tariff.objects.filter(pk=place.site.tariff_id).update(**fields)


@pytest.mark.parametrize(
    ("above", "worth"),
    # five days of July's 31, so a tier above 31 m3 begins at 5 m3, above 37.2 at 6, above 60 at 9.7
    [("31", "5.12"), ("37.2", "4.56"), ("60", "2.56")],
)
@pytest.mark.sqlite
def test_a_clients_savings_are_told_at_the_tiers_they_avoid(lawn: Garden, above: str, worth: str):
    steps = tiers_of([{"above": "0", "price": "1"}, {"above": above, "price": "2"}])
    priced(lawn, unit="m3", tiers=[one.kept() for one in steps])
    told = client_savings(lawn.client, first=ON - 5 * DAY, last=ON - DAY, on=ON)
    assert told.found.money == Decimal(worth)
    assert any("would have reached (flat)" in words for words in told.counted_words)


@pytest.mark.sqlite
def test_a_flat_price_is_one_tier(lawn: Garden):
    first, last = ON - 5 * DAY, ON - DAY
    flat = client_savings(lawn.client, first=first, last=last, on=ON).found.money
    priced(lawn, unit="m3", tiers=[{"above": "0", "price": "1.5", "season_from": "", "season_to": ""}])
    assert client_savings(lawn.client, first=first, last=last, on=ON).found.money == flat == Decimal("3.84")


@pytest.mark.sqlite
def test_currencies_are_told_and_not_added_up(lawn: Garden):
    euro = Tariff.objects.create(company=lawn.company, name="Eau", price_per_m3="2", currency="EUR")
    site = Site.objects.create(
        client=lawn.client, name="Second", latitude=39.2, longitude=-121.1, elevation_m=310,
        timezone=lawn.site.timezone, cell=lawn.cell, tariff=euro, balance_from=lawn.site.balance_from,
    )  # fmt: skip
    box = Controller.objects.create(site=site, name="Shed")
    runs = Program.objects.create(
        controller=box,
        letter="A",
        name="Lawns",
        days="daily",
        starts=["03:00"],
        effective=lawn.program.effective,
    )
    ZoneRun.objects.create(program=runs, zone=zone(box, 1), minutes=40, cycle=20, soak=20, order=1)
    Setting.objects.create(program=runs, percent=100, effective_from=lawn.program.effective)
    told = client_savings(lawn.client, first=ON - 5 * DAY, last=ON - DAY, on=ON)
    assert told.found.saved_l == pytest.approx(2_560.0)
    assert told.found.money is None
    assert "prices in EUR and USD aren't added up" in told.counted_words


@pytest.mark.sqlite
def test_a_saving_somebody_else_found(lawn: Garden):
    site = Site.objects.select_related("tariff", "client__company").get(pk=lawn.site.pk)
    first, last = date(2026, 7, 1), date(2026, 7, 31)
    told = worth_of(site, first=first, last=last, saved_l=4_000.0, used_l=8_000.0)
    assert (told.money, told.currency) == (Decimal("6.00"), "USD")
    assert told.words == "at the flat price of flat"
    priced(lawn, tiers=STEPS_KEPT)
    site.tariff.refresh_from_db()
    assert worth_of(site, first=first, last=last, saved_l=4_000.0, used_l=8_000.0).money == Decimal("8.00")
    # by a budget: 4 mm a day on 200 m2 are 24.8 m3, 80 % of them 19.84, a half of that 9.92
    priced(lawn, tiers=HALVES, tiers_in="budget")
    site.tariff.refresh_from_db()
    told = worth_of(site, first=first, last=last, saved_l=4_000.0, used_l=8_000.0)
    assert told.money == Decimal("8.16")  # 1.92 at 1, 2.08 at 3
    site.tariff = None
    assert worth_of(site, first=first, last=last, saved_l=4_000.0, used_l=8_000.0).money is None


@pytest.mark.sqlite
def test_where_a_meter_tells_the_use_of_all_days_it_counts(lawn: Garden):
    first, last = ON - 5 * DAY, ON - DAY
    kept = [one.kept() for one in tiers_of([{"above": "0", "price": "1"}, {"above": "62", "price": "2"}])]
    priced(lawn, unit="m3", tiers=kept)  # five days' tier is 10 m3 wide; 5.44 + 2.56 stays in the first
    told = client_savings(lawn.client, first=first, last=last, on=ON)
    assert told.found.money == Decimal("2.56")
    assert any("the estimated use" in words for words in told.counted_words)
    meter = Meter.objects.create(site=lawn.site, name="Main", unit="m3", mixed=True)
    bill = MeterBill.objects.create(meter=meter, first=first, last=last - DAY, used=8)
    assert client_savings(lawn.client, first=first, last=last, on=ON).found.money == Decimal("2.56")
    MeterBill.objects.filter(pk=bill.pk).update(last=last, used=9)  # 9 + 2.56: 1 at 1, 1.56 at 2
    told = client_savings(lawn.client, first=first, last=last, on=ON)
    assert told.found.money == Decimal("4.12")
    assert any("what the meter counted" in words for words in told.counted_words)
    Tariff.objects.update(period="bill")  # the bill is five days long, and its tier 62 m3 wide
    assert client_savings(lawn.client, first=first, last=last, on=ON).found.money == Decimal("2.56")
