"""How far a measured saving may be off: the uncertainty of a sum of bills against a fitted baseline."""

from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from reports.numerics.measured.regression import Fit
from reports.numerics.measured.student import t_quantile

Floats = NDArray[np.float64]

CONFIDENCE = 0.90
MOST_LEVERAGE = 0.95
NOT_TOLD_FROM = 0.5  # a saving whose uncertainty is more than this share of it isn't detected


def sum_uncertainty(
    fit: Fit, x: Floats, days: Floats, *, alike: NDArray[np.bool_], confidence: float = CONFIDENCE
) -> float:
    """Return by how much the sum of some bills' expected use may be off, to either side. [L]

    Parameters
    ----------
    fit
        The baseline.
    x : ndarray, shape (bills, terms)
        Columns of ``terms.design`` of the bills that are counted, none of the baseline's own.
    days : ndarray, shape (bills,)
        Their days, above 0. [d]
    alike : ndarray of bool, shape (baseline bills,)
        The baseline's bills of the same months: where those were farther off than all of them, their
        residuals are the measure.
    confidence
        Share of such sums that lie within, above 0 and below 1. [-]

    Returns
    -------
    float
        Student's t times the root of what bills scatter and what the coefficients may be off, the latter
        as if all bills scattered alike or as they did (HC3), whichever is more. Bills that follow each other
        widen both by n / n', and leave n' - p degrees of freedom.

    References
    ----------
    .. [1] The prediction interval of ordinary least squares, for a sum: any textbook of regression. The
       widening by effective points is that of ASHRAE Guideline 14, see ``guideline_uncertainty``.
    .. [2] MacKinnon and White (1985), HC3; as statsmodels computes it.
    """
    degrees = fit.effective - fit.coefficients.size
    if degrees <= 0:
        return inf
    per_day = fit.variance
    if alike.any():
        freed = fit.bills / (fit.bills - fit.coefficients.size)
        per_day = max(per_day, freed * float((fit.residuals**2 / fit.days)[alike].mean()))
    scatter = per_day * float(days.sum()) + _of_coefficients(fit, x.sum(axis=0), per_day)
    follows = (1.0 + fit.rho) / (1.0 - fit.rho)
    return t_quantile(confidence, degrees) * sqrt(scatter * follows)


def _of_coefficients(fit: Fit, total: Floats, per_day: float) -> float:
    """Return the variance of a sum that comes of the coefficients, also where bills scatter unevenly. [L2]"""
    pull = (fit.x / fit.days[:, np.newaxis]) @ fit.spread @ total
    leverage = np.minimum(((fit.x @ fit.spread) * fit.x).sum(axis=1) / fit.days, MOST_LEVERAGE)
    uneven = float(((pull * fit.residuals / (1.0 - leverage)) ** 2).sum())
    return max(per_day * float(total @ fit.spread @ total), uneven)


def guideline_uncertainty(
    fit: Fit, *, expected_l: float, bills: int, confidence: float = CONFIDENCE
) -> float:
    """Return the same by the rule of thumb of ASHRAE Guideline 14, shown beside ours. [L]

    Parameters
    ----------
    fit
        The baseline.
    expected_l
        What it expects the counted bills to use in all. [L]
    bills
        How many are counted, 1 or more.
    confidence
        As in ``sum_uncertainty``.

    Returns
    -------
    float
        ``1.26 t CV E sqrt((n / n') (1 + 2 / n') / m)``.

    References
    ----------
    .. [1] ASHRAE Guideline 14 (2014), eq. 4-8; secondary, its text wasn't readable.
    """
    degrees = fit.effective - fit.coefficients.size
    if degrees <= 0:
        return inf
    n, free = fit.bills, fit.effective
    share = 1.26 * t_quantile(confidence, degrees) * fit.cv_rmse
    return abs(share * expected_l) * sqrt((n / free) * (1.0 + 2.0 / free) / bills)


def detected(saved_l: float, uncertainty_l: float) -> bool:
    """Tell whether a saving stands out: it is one, and at most half of it is uncertain."""
    return saved_l > 0 and uncertainty_l <= NOT_TOLD_FROM * saved_l
