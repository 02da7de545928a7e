"""A baseline's fit beside statsmodels, Student's t beside scipy, uncertainty beside both and by hand."""

from datetime import date
from math import inf, sqrt

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import t as students_t

from reports.numerics.measured.regression import fit
from reports.numerics.measured.student import t_quantile
from reports.numerics.measured.terms import DAYS, NEED, SPRING, SUMMER, design, names_of
from reports.numerics.measured.uncertainty import detected, guideline_uncertainty, sum_uncertainty
from tests.reports.measured.invented_meters import Kind, months, one


def test_students_t_is_the_printed_one() -> None:
    """Abramowitz and Stegun (1964), table 26.10, two-sided 90 %: 6.314, 1.812, 1.697, 1.645; from memory."""
    for degrees, printed in ((1, 6.314), (10, 1.812), (30, 1.697), (1e6, 1.645)):
        assert t_quantile(0.90, degrees) == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.999])
@pytest.mark.parametrize("degrees", [1, 2.5, 10, 21.3, 1e4])
def test_students_t_is_scipys(confidence: float, degrees: float) -> None:
    assert t_quantile(confidence, degrees) == pytest.approx(
        students_t.ppf(0.5 + confidence / 2, degrees), rel=1e-9
    )


@pytest.mark.parametrize("wrong", [(0.0, 5), (1.0, 5), (0.9, 0), (0.9, inf), (float("nan"), 5)])
def test_students_t_takes_nothing_else(wrong: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="accepted"):
        t_quantile(*wrong)


def test_terms_are_chosen_by_how_many_bills_there_are() -> None:
    assert names_of(bills=12) == (DAYS, NEED)
    assert names_of(bills=24) == (DAYS, NEED, SPRING, SUMMER)


def test_a_bill_counts_over_its_own_days() -> None:
    """A whole year of spring and of summer is nothing; a midsummer day is one of summer, none of spring."""
    year = {"firsts": [date(2025, 1, 1), date(2025, 7, 2)], "lasts": [date(2025, 12, 31), date(2025, 7, 2)]}
    x, days = design((DAYS, NEED, SPRING, SUMMER), **year, need_l=np.array([5.0, 7.0]))
    assert days.tolist() == [365.0, 1.0]
    assert x[:, 1].tolist() == [5.0, 7.0]
    assert x[0, 2:] == pytest.approx([0.0, 0.0], abs=0.3)
    assert x[1, 2:] == pytest.approx([0.0, 1.0], abs=0.02)
    with pytest.raises(ValueError, match="ends before it begins"):
        design((DAYS,), firsts=[date(2025, 2, 1)], lasts=[date(2025, 1, 1)], need_l=np.zeros(1))
    with pytest.raises(ValueError, match="moon"):
        design(("moon",), **year, need_l=np.zeros(2))


def a_meter(count: int = 24):
    rng = np.random.default_rng(7)
    firsts, lasts = months(count)
    need = np.maximum(90 - 80 * np.cos(2 * np.pi * np.arange(count) / 12) + rng.normal(0, 15, count), 0) * 1e3
    x, days = design(names_of(bills=count), firsts=firsts, lasts=lasts, need_l=need)
    used = 900.0 * days + 1.3 * need + rng.normal(0, 9_000, count)
    return x, used, days


def test_the_fit_is_statsmodels() -> None:
    x, used, days = a_meter()
    ours, theirs = fit(x, used, days), sm.WLS(used, x, weights=1.0 / days).fit()
    assert ours.coefficients == pytest.approx(theirs.params, rel=1e-9)
    assert ours.spread * ours.variance == pytest.approx(theirs.cov_params(), rel=1e-8)
    assert ours.residuals == pytest.approx(theirs.resid, rel=1e-7)
    assert ours.variance == pytest.approx(theirs.scale, rel=1e-9)


def test_with_equal_bills_its_figures_are_statsmodels_of_plain_least_squares() -> None:
    x, used, _ = a_meter()
    ours, theirs = fit(x, used, np.full(used.size, 30.0)), sm.OLS(used, x).fit()
    assert ours.cv_rmse == pytest.approx(sqrt(theirs.mse_resid) / used.mean(), rel=1e-9)
    assert ours.r2 == pytest.approx(1 - theirs.ssr / theirs.centered_tss, rel=1e-9)
    assert ours.nmbe == pytest.approx(theirs.resid.sum() / ((used.size - 4) * used.mean()), rel=1e-6)


def test_one_more_bill_is_as_sure_as_statsmodels_says() -> None:
    """Bills that know nothing of each other and scatter alike: the prediction interval of least squares."""
    rng = np.random.default_rng(3)
    need = rng.uniform(0, 100, 40)
    x = np.column_stack([np.full(40, 30.0), need])
    used = 5 * x[:, 0] + 2 * need + rng.normal(0, 10, 40)
    days = np.full(40, 30.0)
    fitted = fit(x, used, days)
    alone = type(fitted)(**{name: getattr(fitted, name) for name in fitted.__slots__} | {"rho": 0.0})
    new = np.array([[30.0, 50.0]])
    theirs = sm.OLS(used, x).fit().get_prediction(new).summary_frame(alpha=0.10)
    half = float((theirs["obs_ci_upper"] - theirs["obs_ci_lower"]).iloc[0] / 2)
    ours = sum_uncertainty(alone, new, np.array([30.0]), alike=np.zeros(40, dtype=bool))
    assert ours == pytest.approx(half, rel=0.01)  # uneven scatter of the coefficients may be a little more
    assert ours >= half * (1 - 1e-9)


def test_bills_that_follow_each_other_are_less_sure() -> None:
    x, used, days = a_meter()
    fitted = fit(x, used, days)
    kept = {name: getattr(fitted, name) for name in fitted.__slots__}
    told = [
        sum_uncertainty(
            type(fitted)(**kept | {"rho": rho}), x[:12], days[:12], alike=np.zeros(24, dtype=bool)
        )
        for rho in (0.0, 0.3, 0.6, 0.9)
    ]
    assert told[0] < told[1] < told[2] < told[3] == inf  # 24 x 0.1 / 1.9 = 1.3 bills for four terms


def test_the_rule_of_thumb_by_hand() -> None:
    """n 24, p 4, rho 0: t(20) = 1.725; 1.26 x 1.725 x 0.10 x 1,200 x sqrt(1 x (1 + 2 / 24) / 12) = 78.4."""
    x, used, days = a_meter()
    fitted = fit(x, used, days)
    kept = {name: getattr(fitted, name) for name in fitted.__slots__} | {"rho": 0.0, "cv_rmse": 0.10}
    told = guideline_uncertainty(type(fitted)(**kept), expected_l=1200.0, bills=12)
    assert told == pytest.approx(78.4, abs=0.1)


def test_the_worked_example_of_a_year_that_needed_more() -> None:
    """Reference table, section 10: base 900 CCF at a net ETo of 38.0, reported 780 at 42.0.

    The baseline for the new weather is 994.7, so 214.7 are saved, 21.6 %; the raw claim would be 13.3 %.
    """
    rate = fit(np.array([[38.0], [38.0]]), np.array([900.0, 900.0]), np.array([365.0, 365.0])).coefficients
    expected = float(rate[0] * 42.0)
    assert expected == pytest.approx(994.7, abs=0.05)
    assert (expected - 780) / expected == pytest.approx(0.216, abs=5e-4)


@pytest.mark.parametrize(
    ("saved", "off", "told"), [(100, 50, True), (100, 51, False), (0, 0, False), (-100, 10, False)]
)
def test_a_saving_is_detected_if_half_of_it_is_sure(saved: float, off: float, told: bool) -> None:
    assert detected(saved, off) is told


def test_a_meter_of_irrigation_alone_that_is_watered_by_habit_can_be_measured_against() -> None:
    told = [one(seed, Kind(mixed=False, waters_by_block=True)) for seed in range(20)]
    assert sum(outcome.fitted.cv_rmse <= 0.25 for outcome in told) == 20
    assert sum(outcome.covers for outcome in told) >= 16


def test_what_cannot_be_fitted_is_said() -> None:
    x, used, days = a_meter()
    for wrong, words in (
        ((x[:4], used[:4], days[:4]), "more bills than terms"),
        ((x, 0 * used, days), "nothing was used"),
        ((x * [1, 0, 1, 1], used, days), "nothing in every bill"),
        ((np.column_stack([days, 2 * days]), used, days), "told apart"),
        ((x, used, 0 * days), "days must be above 0"),
    ):
        with pytest.raises(ValueError, match=words):
            fit(*wrong)


def test_forty_invented_meters_hold_their_true_saving_and_none_is_found_where_none_is() -> None:
    found = [one(seed, Kind()) for seed in range(40)]
    assert 31 <= sum(outcome.covers for outcome in found) <= 40  # 0.9 of 40, 99 % of binomial draws
    assert not any(one(seed, Kind(saving=0.0)).detected for seed in range(40))
    assert sum(one(seed, Kind(saving=0.35)).detected for seed in range(40)) >= 30
