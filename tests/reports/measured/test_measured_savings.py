"""A meter's baseline is fitted on the bills chosen, kept, and its savings counted over the bills since."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from common.errors import NotAllowed, Refused
from fleet.models import Meter, MeterBill
from fleet.selectors.meter_use import Span
from reports.models import MeterBaseline, NonRoutineChange
from reports.selectors.measured import measured_savings
from reports.selectors.metered.bills import bills_of
from reports.selectors.metered.fits import fitted, kept_points
from reports.selectors.metered.need import needs_of
from reports.services.baselines import edit_change, fit_baseline, log_change, remove_change
from tests.cast import person
from tests.night.garden import ON, garden, weather, zone
from tests.reports.measured.metered_garden import BASELINE, INDOORS_L_DAY, Metered, metered

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
SINCE = BASELINE[1] + DAY
ZONE = ZoneInfo("America/Los_Angeles")


@pytest.fixture(autouse=True)
def on_that_day(settings) -> None:
    settings.AS_OF = ON


def fit(place: Metered, **days) -> MeterBaseline:
    first, last = BASELINE
    return fit_baseline(meter=place.meter, by=place.garden.owner, **{"first": first, "last": last} | days)


def test_a_fifth_less_than_the_weather_asked_for_is_found() -> None:
    place = metered()
    kept = fit(place)
    assert kept.refused == "" and len(kept.points) == 24
    # the time of year follows the need, so the two share it: alone it isn't told better
    assert dict(zip(kept.terms, kept.coefficients, strict=True))["net need"] == pytest.approx(1.3, abs=0.25)
    told = measured_savings(place.garden.site, first=SINCE, last=ON, on=ON)
    assert told.saved_l / told.baseline_l == pytest.approx(0.2, abs=0.04)
    assert abs(told.saved_l - 0.2 * told.baseline_l) <= told.uncertainty_l
    assert told.detected and told.kind == "measured" and told.left_out == []
    assert (told.first, told.last) == (SINCE, date(2026, 6, 30))
    assert told.saved_l == pytest.approx(told.baseline_l - told.used_l)


def test_where_nothing_was_saved_nothing_is_detected() -> None:
    place = metered(saved=0.0)
    fit(place)
    told = measured_savings(place.garden.client, first=SINCE, last=ON, on=ON)
    assert not told.detected
    assert abs(told.saved_l) <= told.uncertainty_l


def test_a_meter_that_serves_indoors_has_use_by_the_day() -> None:
    place = metered(mixed=True)
    kept = fit(place)
    by_term = dict(zip(kept.terms, kept.coefficients, strict=True))
    assert by_term["days"] == pytest.approx(INDOORS_L_DAY, rel=0.2)
    told = measured_savings(place.garden.site, first=SINCE, last=ON, on=ON)
    assert told.saved_l == pytest.approx(0.2 * (told.baseline_l - 365 * INDOORS_L_DAY), rel=0.25)


def test_months_add_up_to_the_year_and_a_bill_counts_once() -> None:
    place = metered()
    fit(place)
    year = measured_savings(place.garden.site, first=SINCE, last=date(2026, 6, 30), on=ON)
    firsts = [date(2025 + (m > 12), m - 12 * (m > 12), 1) for m in range(7, 19)]
    parts = [
        measured_savings(
            place.garden.site, first=one, last=(one + 31 * DAY).replace(day=1) - DAY, on=ON
        )
        for one in firsts
    ]  # fmt: skip
    assert sum(part.saved_l for part in parts) == pytest.approx(year.saved_l)
    assert parts[0].uncertainty_l / parts[0].baseline_l > year.uncertainty_l / year.baseline_l


def test_a_kept_fit_made_again_from_its_bills_is_the_same() -> None:
    kept = fit(metered())
    again = fitted(kept.terms, kept_points(kept))
    assert again.coefficients == pytest.approx(kept.coefficients, rel=1e-9)
    assert again.cv_rmse == pytest.approx(kept.figures["cv_rmse"])


def test_less_than_twelve_months_are_refused_and_nothing_is_kept() -> None:
    place = metered()
    with pytest.raises(Refused, match="twelve months"):
        fit(place, first=date(2024, 10, 1))
    with pytest.raises(Refused, match="days that are over"):
        fit(place, last=ON)
    assert not MeterBaseline.objects.exists()
    assert measured_savings(place.garden.site, first=SINCE, last=ON, on=ON) is None


def test_a_poor_fit_is_kept_as_refused_and_never_takes_a_good_ones_place() -> None:
    place = metered()
    good = fit(place)
    for n, bill in enumerate(MeterBill.objects.filter(last__lte=BASELINE[1]).order_by("first")):
        bill.used = bill.used * (2.2 if n % 2 else 0.2)
        bill.save()
    poor = fit(place)
    assert "of a usual bill off" in poor.refused and poor.replaced_at is not None
    assert MeterBaseline.objects.get(replaced_at=None) == good
    good.delete()
    assert fit(place).replaced_at is None
    assert measured_savings(place.garden.site, first=SINCE, last=ON, on=ON) is None


def test_a_new_fit_takes_the_place_of_the_one_before() -> None:
    place = metered()
    before, now = fit(place), fit(place, first=date(2024, 1, 1))
    before.refresh_from_db()
    assert before.replaced_at is not None and now.replaced_at is None
    assert len(now.points) == 18


def test_what_no_weather_explains_is_counted_apart() -> None:
    """A leak of 500 L a day through the 31 days of July 2025 would hide 15,500 L of what was saved."""
    place = metered()
    fit(place)
    before = measured_savings(place.garden.site, first=SINCE, last=ON, on=ON)
    said = {"kind": "leak", "litres_day": 500.0, "reason": "Pipe by the gate."}
    leak = log_change(
        meter=place.meter, by=place.garden.owner, first=date(2025, 6, 20), last=date(2025, 7, 31), **said
    )
    told = measured_savings(place.garden.site, first=SINCE, last=ON, on=ON)
    assert told.saved_l == pytest.approx(before.saved_l + 31 * 500)
    assert told.meters[0].apart_l == 31 * 500 and "no weather explains" in told.words
    edit_change(change=leak, by=place.garden.owner, last=None, litres_day=-100.0)
    told = measured_savings(place.garden.site, first=SINCE, last=ON, on=ON)
    assert told.saved_l == pytest.approx(before.saved_l - 365 * 100)
    remove_change(change=leak, by=place.garden.owner)
    assert measured_savings(place.garden.site, first=SINCE, last=ON, on=ON).saved_l == before.saved_l
    assert NonRoutineChange.history.count() == 3  # logged, set right, taken off


def test_only_the_owner_and_the_office_fit_and_log() -> None:
    place, nobody = metered(), person("nobody@elsewhere.test")
    with pytest.raises(NotAllowed):
        fit_baseline(meter=place.meter, by=nobody, first=BASELINE[0], last=BASELINE[1])
    with pytest.raises(NotAllowed):
        log_change(meter=place.meter, by=nobody, kind="leak", first=SINCE, litres_day=5.0, reason="x")


def test_net_need_by_hand() -> None:
    """Cool turf in full sun, Kl 0.94 in July: ten days of 5 mm lose 47 mm; 0.8 x 20 mm of rain leave 31.

    On 200 m2 that is 6,200 L; a second meter serves only the second zone, of 100 m2: 3,100 L.
    """
    place = garden()
    bed = zone(place.controller, 2, area_m2=100.0)
    weather(place.cell, et_mm=5.0, rain={date(2026, 7, 5): 20.0})
    lawn = Meter.objects.create(site=place.site, name="Lawn", unit="l")
    lawn.zones.add(place.zones[0])
    own = Meter.objects.create(site=place.site, name="Bed", unit="l")
    own.zones.add(bed)
    need = needs_of([lawn, own], first=date(2026, 7, 1), last=date(2026, 7, 10))
    assert need[lawn.pk].over(date(2026, 7, 1), date(2026, 7, 10)) == pytest.approx(6_200.0)
    assert need[own.pk].over(date(2026, 7, 1), date(2026, 7, 10)) == pytest.approx(3_100.0)
    assert need[own.pk].over(date(2026, 7, 1), date(2026, 7, 11)) is None  # weather of the last isn't asked


def test_days_without_weather_take_the_mean_of_the_others_up_to_a_tenth() -> None:
    place = garden()
    weather(place.cell, et_mm=5.0, back=9)
    meter = Meter.objects.create(site=place.site, name="All", unit="l")
    need = needs_of([meter], first=ON - 11 * DAY, last=ON - DAY)[meter.pk]
    assert need.over(ON - 10 * DAY, ON - DAY) == pytest.approx(10 * 5 * 0.94 * 200)
    assert need.over(ON - 11 * DAY, ON - DAY) is None


def span(first: date, days: int, litres: float | None, origin="reading", hour: int = 0) -> Span:
    begin = datetime(first.year, first.month, first.day, hour, tzinfo=ZONE)
    return Span(begin, begin + days * DAY, litres, origin)


def test_readings_are_put_together_to_four_weeks_and_a_gap_ends_what_was_begun() -> None:
    first = date(2026, 1, 1)
    weeks = [span(first + 7 * n * DAY, 7, 10.0) for n in range(6)]
    told = bills_of([*weeks, span(first + 42 * DAY, 7, None), span(first + 49 * DAY, 30, 5.0, hour=15)])
    assert [(one.first, one.last, one.used_l) for one in told] == [
        (first, first + 27 * DAY, 40.0),
        (first + 50 * DAY, first + 79 * DAY, 5.0),
    ]


def test_days_of_interval_data_are_months_and_bills_stay_bills() -> None:
    first = date(2026, 1, 10)
    days = [span(first + n * DAY, 1, 1.0, "interval") for n in range(60)]
    bills = [span(first + 60 * DAY, 61, 9.0, "bill"), span(first + 121 * DAY, 130, 9.0, "bill")]
    told = bills_of([*days, *bills])
    assert [(one.first, one.last, one.used_l) for one in told] == [
        (first, date(2026, 2, 28), 50.0),
        (date(2026, 3, 11), date(2026, 5, 10), 9.0),
    ]
