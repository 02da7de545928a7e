"""Savings worked by hand from five days of numbers, and what must hold for any savings."""

from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from typing import Any

import numpy as np
import pytest
from django.core.management import call_command
from rest_framework.test import APIClient

from fleet.models import ZoneEpisode
from reports.models import ProgramMonth
from reports.numerics.savings import saved_water, withheld_et
from reports.selectors.savings import account_of, client_savings
from reports.services.recompute import recompute
from scheduling.models import Setting, Skip
from tests.night.garden import ON, Garden, garden, weather

pytestmark = [pytest.mark.django_db]
DAY = timedelta(days=1)
FIVE_DAYS_AGO, YESTERDAY = ON - 5 * DAY, ON - DAY
GROSS_MM = 8.0  # 40 min at 12 mm/h
AREA_M2 = 200.0


@pytest.fixture(autouse=True)
def on_that_day(settings: Any) -> None:
    settings.AS_OF = ON


def lawn(name: str = "Heron", *, minutes: float = 40.0, **fields: Any) -> Garden:
    """A lawn watered every morning, 4 mm of reference ET a day: 40 minutes are more than it needs."""
    place = garden(name, minutes=minutes, days="daily", **fields)
    weather(place.cell, et_mm=4.0)
    return place


def test_five_days_by_hand() -> None:
    """From the night of 9 July on at 60 %: 24 instead of 40 minutes, so 4.8 instead of 8 mm a morning.

    The nights of 9 to 12 July water the mornings of 10 to 13 July; the morning of 9 July still had 8 mm.
    Applied: 8 + 4 x 4.8 = 27.2 mm x 200 m2 = 5,440 L. Baseline: 5 x 8 = 40 mm x 200 m2 = 8,000 L.
    The lawn uses 4 x 0.94 = 3.76 mm a day and gets 4.8 x 0.95 x 0.82 = 3.74 mm: nothing runs dry.
    """
    place = lawn()
    Setting.objects.create(program=place.program, percent=60, effective_from=FIVE_DAYS_AGO)
    told = client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
    assert told.applied_l == pytest.approx(5_440.0)
    assert told.found.baseline_l == pytest.approx(8_000.0)
    assert told.found.withheld_l == 0.0
    assert told.found.saved_l == pytest.approx(2_560.0)
    assert told.found.money == Decimal("3.84")  # 2.56 m3 at 1.50
    assert told.adequacy == pytest.approx(1.0)
    assert told.kind == "estimated"


def test_water_kept_from_thirsty_plants_is_no_saving() -> None:
    """One zone, one day: TAW 40, RAW 20, D 30 before ET: Ks (40 - 30) / 20 = 0.5; of 6 mm 3 are withheld.

    The baseline left nothing dry. It would take 3 / 0.75 = 4 mm gross to make good; of 10 mm less applied
    6 mm are saved.
    """
    withheld = withheld_et(
        np.array([[33.0]]),
        start_mm=np.array([30.0]),
        irrigation_mm=np.zeros((1, 1)),
        rain_mm=np.zeros((1, 1)),
        et_mm=np.array([[6.0]]),
        taw_mm=np.array([40.0]),
        raw_mm=np.array([20.0]),
    )
    assert withheld == pytest.approx(np.array([[3.0]]))
    saved = saved_water(
        area_m2=np.array([100.0]),
        efficiency=np.array([0.75]),
        applied_mm=np.array([[0.0]]),
        baseline_mm=np.array([[10.0]]),
        withheld_applied_mm=withheld,
        withheld_baseline_mm=np.zeros((1, 1)),
    )
    assert saved.withheld_l == pytest.approx(400.0)
    assert saved.saved_l == pytest.approx(600.0)


def test_drying_a_lawn_out_saves_less_than_the_water_left_out() -> None:
    place = lawn()
    Setting.objects.create(program=place.program, percent=0, effective_from=ON - 30 * DAY)
    told = client_savings(place.client, first=ON - 30 * DAY, last=YESTERDAY, on=ON)
    left_out = (told.found.baseline_l or 0.0) - told.applied_l
    assert told.found.withheld_l > 0
    assert told.found.saved_l == pytest.approx(left_out - told.found.withheld_l)
    assert told.adequacy is not None and told.adequacy < 0.8


def test_nothing_changed_nothing_saved() -> None:
    place = lawn()
    told = client_savings(place.client, first=ON - 20 * DAY, last=YESTERDAY, on=ON)
    assert told.found.saved_l == pytest.approx(0.0, abs=1e-9)


def test_a_skipped_night_saves_its_water() -> None:
    place = lawn()
    Skip.objects.create(
        program=place.program, effective_from=ON - 3 * DAY, effective_to=ON - 3 * DAY, reason="Rain."
    )
    told = client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
    assert told.found.saved_l == pytest.approx(GROSS_MM * AREA_M2)


def test_days_add_up_to_the_range_and_months_to_their_days() -> None:
    place = lawn()
    Setting.objects.create(program=place.program, percent=60, effective_from=ON - 25 * DAY)
    first = place.site.balance_from + DAY
    account = account_of([place.site.pk], on=ON)[0]
    whole = account.total(first, YESTERDAY)
    days = account.of_program((place.controller.pk, "A"), first, YESTERDAY)
    assert sum(day.applied_l for day in days) == pytest.approx(whole.applied_l, abs=1e-6)
    saved = sum(day.found_l - day.applied_l - day.withheld_found_l for day in days)
    assert saved == pytest.approx(whole.found.saved_l, abs=1e-6)
    recompute(on=ON)
    months = ProgramMonth.objects.all()
    assert sum(month.applied_l for month in months) == pytest.approx(whole.applied_l, abs=1e-6)
    assert sum(month.found_l for month in months) == pytest.approx(whole.found.baseline_l, abs=1e-6)


def test_recomputing_twice_changes_nothing() -> None:
    lawn()
    call_command("recompute", "--date", ON.isoformat(), stdout=StringIO())
    before = list(ProgramMonth.objects.order_by("pk").values())
    assert before
    assert recompute(on=ON) == len(before)
    assert list(ProgramMonth.objects.order_by("pk").values()) == before


def test_days_before_the_settings_were_known_count_nothing() -> None:
    place = lawn()
    Setting.objects.filter(program=place.program).update(effective_from=FIVE_DAYS_AGO, percent=60)
    told = client_savings(place.client, first=ON - 20 * DAY, last=YESTERDAY, on=ON)
    assert told.applied_l == pytest.approx(4 * 4.8 * AREA_M2)
    assert told.found.saved_l == pytest.approx(0.0, abs=1e-9)


def test_monthly_percents_follow_the_usual_need_of_the_month() -> None:
    """July needs most here; June's share of it is held to the controller's step of 5."""
    from weather.models import MonthlyNormal

    place = lawn()
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=place.cell, month=m, reference_et_mm=6.0 if m == 7 else 3.0, days_used=30)
        for m in range(1, 13)
    )
    told = client_savings(place.client, first=date(2026, 7, 2), last=YESTERDAY, on=ON)
    assert told.monthly.baseline_l == pytest.approx(12 * GROSS_MM * AREA_M2)  # July: 100 %
    june = client_savings(place.client, first=date(2026, 6, 2), last=date(2026, 6, 30), on=ON)
    # June: 3.0 x 0.88 against 6.0 x 0.94 in July is 46.8 %, held as 45 %: 18 min, 3.6 mm a day.
    assert june.monthly.baseline_l == pytest.approx(29 * 3.6 * AREA_M2)


def test_a_program_without_a_surveyed_zone_leaves_the_others_their_monthly_percents() -> None:
    """Nothing of it counts, applied or as found, so nothing is lacking beside it either."""
    from weather.models import MonthlyNormal

    place = lawn(zones=2)
    MonthlyNormal.objects.bulk_create(
        MonthlyNormal(cell=place.cell, month=m, reference_et_mm=6.0 if m == 7 else 3.0, days_used=30)
        for m in range(1, 13)
    )
    bare = place.zones[1]
    other = place.controller.programs.create(
        letter="B", days="daily", starts=["05:00"], effective=place.program.effective
    )
    place.program.runs.filter(zone=bare).update(program=other)
    type(bare).objects.filter(pk=bare.pk).update(area_m2=None)
    told = client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
    assert told.monthly.baseline_l == pytest.approx(5 * GROSS_MM * AREA_M2)  # July: 100 %
    assert told.monthly.money == Decimal("0.00")
    assert told.left_out == ["zone 2: area"]


def test_a_zone_that_is_away_is_left_out_and_named() -> None:
    place = lawn(zones=2)
    ZoneEpisode.objects.create(zone=place.zones[1], kind="grow-in", effective_from=ON - 40 * DAY)
    told = client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
    assert told.applied_l == pytest.approx(5 * GROSS_MM * AREA_M2)
    assert told.left_out == ["zone 2: growing in, not watered by need"]


def test_only_the_days_of_an_episode_leave_the_savings() -> None:
    """Nights 9 and 10 July are watered by need no more: their water counts on the 10th and 11th."""
    place = lawn(zones=2)
    away = {"kind": "off", "effective_from": date(2026, 7, 9), "effective_to": date(2026, 7, 10)}
    ZoneEpisode.objects.create(zone=place.zones[1], **away)
    whole = client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
    assert whole.applied_l == pytest.approx((2 * 5 - 2) * GROSS_MM * AREA_M2)
    assert whole.found.baseline_l == pytest.approx((2 * 5 - 2) * GROSS_MM * AREA_M2)
    assert whole.left_out == ["zone 2: off, not watered by need"]
    before = client_savings(place.client, first=ON - 10 * DAY, last=date(2026, 7, 9), on=ON)
    assert before.applied_l == pytest.approx(2 * 6 * GROSS_MM * AREA_M2)
    assert before.left_out == []
    after = client_savings(place.client, first=date(2026, 7, 12), last=YESTERDAY, on=ON)
    assert after.applied_l == pytest.approx(2 * 2 * GROSS_MM * AREA_M2)
    assert after.left_out == []


def test_the_interface_gives_the_selectors_figures_to_the_digit() -> None:
    place = lawn()
    Setting.objects.create(program=place.program, percent=70, effective_from=ON - 10 * DAY)
    api = APIClient()
    api.force_authenticate(place.owner)
    address = f"/api/v1/clients/{place.client.pk}/savings/"
    answer = api.get(address, {"from": "2026-07-01", "to": "2026-07-13"}).json()
    told = client_savings(place.client, first=date(2026, 7, 1), last=date(2026, 7, 13), on=ON)
    assert answer["applied_l"] == told.applied_l
    assert answer["saved_l"] == told.found.saved_l
    assert answer["money"] == float(told.found.money or 0)
    assert answer["adequacy"] == told.adequacy
    assert {"client", "from", "to", "kind", "baseline", "uncertainty_l", "detected", "currency"} <= set(
        answer
    )
    to_date = api.get(address).json()
    assert (to_date["from"], to_date["to"]) == ("2026-07-01", ON.isoformat())
    assert api.get(address, {"baseline": "monthly"}).json()["baseline"] == "monthly"


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"from": "2026-07-13", "to": "2026-07-01"}, "from"),
        ({"from": "yesterday"}, "from"),
        ({"to": "2026-13-01"}, "to"),
        ({"to": ""}, "to"),
        ({"from": ""}, "from"),
        ({"from": "1990-01-01"}, "from"),
        ({"baseline": "last year"}, "baseline"),
    ],
)
def test_a_range_that_can_not_be_is_refused_by_field(asked: dict[str, str], field: str) -> None:
    place = lawn()
    api = APIClient()
    api.force_authenticate(place.owner)
    answer = api.get(f"/api/v1/clients/{place.client.pk}/savings/", asked)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [field]


def test_a_stranger_reads_no_savings() -> None:
    place, other = lawn("Heron"), lawn("Ibis", place=(39.5, -121.5, 300.0))
    api = APIClient()
    api.force_authenticate(other.owner)
    assert api.get(f"/api/v1/clients/{place.client.pk}/savings/").status_code == 404


def test_a_client_of_many_sites_costs_as_many_queries_as_one_of_few(
    django_assert_max_num_queries: Any,
) -> None:
    place = lawn()
    for n in range(6):
        more = garden(f"More{n}", days="daily", place=(38.0 + 0.06 * n, -121.0, 100.0))
        weather(more.cell, et_mm=4.0)
        more.site.client = place.client
        more.site.save()
    with django_assert_max_num_queries(26):
        client_savings(place.client, first=FIVE_DAYS_AGO, last=YESTERDAY, on=ON)
