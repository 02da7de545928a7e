"""The clients' water over whole months says the same as each client's own figures of the same days."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.cache import cache

from fleet.models import Client, Meter, MeterBill
from fleet.selectors.meter_use import daily_litres
from reports.models import MeterMonth, UseAlert
from reports.selectors.by_client.listing import KEYS, SORTS, in_order, narrowed, totals_of, worst_first
from reports.selectors.by_client.rows import Line, Months, Named, Water, lines_of
from reports.selectors.measured import measured_savings
from reports.selectors.savings import client_savings
from reports.services.baselines import fit_baseline
from reports.services.recompute import recompute
from tests.night.garden import ON
from tests.reports.measured.metered_garden import BASELINE, Metered, metered

pytestmark = pytest.mark.django_db
JUNE = Months(date(2026, 6, 1), date(2026, 6, 1))
A_YEAR = Months(date(2025, 8, 1), date(2026, 7, 1))
YESTERDAY = ON - timedelta(days=1)


@pytest.fixture(autouse=True)
def on_that_day(settings: Any) -> None:
    settings.AS_OF = ON
    cache.clear()


def kept(months: Months, *places: Metered) -> list[Water]:
    recompute(on=ON)
    clients = Client.objects.filter(pk__in=[place.garden.client.pk for place in places])
    return [line.water for line in lines_of(clients, months)]


@pytest.mark.parametrize("months", [JUNE, Months(date(2026, 5, 1), date(2026, 7, 1))], ids=["one", "three"])
def test_estimated_figures_are_those_of_the_clients_own_account(months: Months) -> None:
    place = metered()
    [water] = kept(months, place)
    own = client_savings(place.garden.client, first=months.first, last=min(months.through, YESTERDAY), on=ON)
    assert water.applied_l == pytest.approx(own.applied_l, rel=1e-12) and own.applied_l > 0
    assert water.saved_l == pytest.approx(own.found.saved_l, rel=1e-9, abs=1e-6)
    assert water.adequacy == pytest.approx(own.adequacy, rel=1e-12)
    assert water.budget_l == pytest.approx(own.budget_l, rel=1e-12)
    assert water.of_budget == pytest.approx(own.of_budget, rel=1e-12)


def test_metered_use_is_compared_with_what_was_applied_on_the_same_days() -> None:
    place = metered()
    [water] = kept(JUNE, place)
    counted = daily_litres(
        [place.meter.pk], first=JUNE.first, last=JUNE.through, timezone=place.garden.site.timezone
    )[place.meter.pk]
    own = client_savings(place.garden.client, first=JUNE.first, last=JUNE.through, on=ON)
    assert water.metered_days == water.days == 30
    assert water.metered_l == pytest.approx(counted.sum())
    assert water.unexplained_l == pytest.approx(counted.sum() - own.applied_l)
    assert water.metered_of_budget == pytest.approx(counted.sum() / own.budget_l)


@pytest.mark.parametrize("change", ["indoors", "another zone", "a bill missing"])
def test_what_cannot_be_compared_is_not_called_unexplained(change: str) -> None:
    place = metered(mixed=change == "indoors")
    if change == "another zone":
        zone = place.garden.zones[0]
        Meter.objects.get(pk=place.meter.pk).zones.add(zone)
        zone.pk, zone.number, zone._state.adding = None, 9, True
        zone.save()
    if change == "a bill missing":
        MeterBill.objects.filter(first__lte=JUNE.through, last__gte=JUNE.first).delete()
    [water] = kept(JUNE, place)
    assert water.applied_l and water.unexplained_l is None and water.metered_of_budget is None
    assert (water.metered_l is None) == (change == "a bill missing")


@pytest.mark.parametrize("months", [JUNE, A_YEAR], ids=["a month", "a year"])
def test_measured_savings_are_those_of_the_meters_bills_with_their_uncertainty(months: Months) -> None:
    place = metered()
    first, last = BASELINE
    fit_baseline(meter=place.meter, by=place.garden.owner, first=first, last=last)
    [water] = kept(months, place)
    own = measured_savings(place.garden.client, first=months.first, last=months.through, on=ON)
    assert water.measured and own
    assert water.measured.saved_l == pytest.approx(own.saved_l, rel=1e-9)
    assert water.measured.uncertainty_l == pytest.approx(own.uncertainty_l, rel=1e-9)
    assert water.measured.detected == own.detected
    [again] = [
        line.water for line in lines_of(Client.objects.filter(pk=place.garden.client.pk), months)
    ]  # remembered
    assert again.measured == water.measured


def test_a_baseline_that_is_replaced_measures_nothing_until_months_are_made_anew() -> None:
    place = metered()
    first, last = BASELINE
    old = fit_baseline(meter=place.meter, by=place.garden.owner, first=first, last=last)
    kept(JUNE, place)
    new = fit_baseline(meter=place.meter, by=place.garden.owner, first=first, last=date(2025, 5, 31))
    assert lines_of(Client.objects.filter(pk=place.garden.client.pk), JUNE)[0].water.measured is None
    assert kept(JUNE, place)[0].measured
    assert set(MeterMonth.objects.values_list("baseline", flat=True)) == {new.pk} != {old.pk}


def test_alerts_nobody_has_answered_count_in_the_months_they_touch() -> None:
    place = metered()
    told = {"meter": place.meter, "kind": "idle", "litres": 900.0, "found_on": ON}
    UseAlert.objects.create(first=date(2026, 5, 30), last=date(2026, 6, 2), **told)
    UseAlert.objects.create(
        first=date(2026, 6, 5), last=date(2026, 6, 6), dismissed_at=f"{ON}T12:00Z", **told
    )
    [water] = kept(JUNE, place)
    assert (water.alerts, water.alerts_l, water.alert_site) == (1, 900.0, place.garden.site.pk)


def test_recomputing_twice_changes_nothing_and_a_late_bill_is_seen() -> None:
    place = metered()
    before = kept(JUNE, place)
    assert kept(JUNE, place) == before
    MeterBill.objects.filter(last=JUNE.through).update(used=1.0)
    recompute(on=ON, since=ON.replace(day=1) - timedelta(days=1))
    assert lines_of(Client.objects.filter(pk=place.garden.client.pk), JUNE)[
        0
    ].water.metered_l == pytest.approx(1000.0)


def test_a_month_nothing_is_known_of_any_more_goes() -> None:
    place = metered()
    long_ago = date(2024, 6, 1)  # before the account began: only the bill knows it
    before = Months(long_ago, long_ago)
    assert kept(before, place)[0].metered_l
    MeterBill.objects.filter(first__lte=before.through, last__gte=long_ago).delete()
    assert kept(before, place)[0].metered_l is None
    assert kept(JUNE, place)[0].metered_l


@pytest.fixture
def lines() -> list[Line]:
    waters = [
        Water(applied_l=90, baseline_l=100, saved_l=10, need_l=80, short_l=16, budget_l=60),
        Water(),
        Water(applied_l=50, baseline_l=90, saved_l=40, need_l=50, budget_l=100, metered_l=130,
              metered_days=30, days=30, compared_days=30, compared_l=130, explained_l=50,
              compared_budget_l=100, alerts=1),
    ]  # fmt: skip
    return [Line(Named(n, name, 1), water) for n, (name, water) in enumerate(zip("bac", waters, strict=True))]


def names(lines: list[Line]) -> str:
    return "".join(line.client.name for line in lines)


def test_lines_sort_by_any_figure_and_who_has_none_comes_last(lines: list[Line]) -> None:
    assert names(in_order(lines, "client", down=False)) == "abc"
    for sort in ("saved", "used", "budget", "need"):
        for down in (False, True):
            assert names(in_order(lines, sort, down=down))[-1] == "a"
    assert names(in_order(lines, "saved", down=True)) == "cba"
    assert names(in_order(lines, "budget", down=True)) == "bca"
    assert set(SORTS) == {"client", *KEYS}
    assert names(worst_first(lines, 2)) == "bc"


def test_only_what_was_asked_for_is_left(lines: list[Line]) -> None:
    left = {only: names(narrowed(lines, only)) for only in ("", "over", "dry", "alert", "metered")}
    assert left == {"": "bac", "over": "bc", "dry": "b", "alert": "c", "metered": "c"}


def test_totals_keep_estimated_and_metered_apart(lines: list[Line]) -> None:
    total = totals_of(lines)
    assert (total.clients, total.saving, total.metered, total.measured) == (3, 2, 1, 0)
    assert (total.water.applied_l, total.water.saved_l, total.water.metered_l) == (140, 50, 130)
    assert total.water.adequacy == pytest.approx(1 - 16 / 130)
    assert total.water.of_budget == pytest.approx(140 / 160)
    assert total.water.unexplained_l == 80
    assert total.water.metered_of_budget == pytest.approx(1.3)
    assert total.water.measured is None
