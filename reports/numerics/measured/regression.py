"""Least squares of a meter's use on what explains it, with the figures that say how well."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


MOST_RHO = 0.9  # beyond it bills are one long errand, not bills


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted baseline of ``n`` bills and ``p`` terms.

    ``spread`` is (X' W X)^-1 with W one over each bill's days; ``variance`` is that of one day's use, so that
    a bill's is its days times it. ``rho`` is how far a bill's residual follows the one before, 0 or more.
    """

    x: Floats  # (n, p)
    coefficients: Floats  # (p,)
    spread: Floats  # (p, p)
    residuals: Floats  # (n,) [L]
    days: Floats  # (n,)
    variance: float  # [L2/d]
    cv_rmse: float  # [-]
    r2: float  # [-]
    nmbe: float  # [-]
    rho: float  # [-]

    @property
    def bills(self) -> int:
        """Return how many bills it rests on."""
        return int(self.residuals.size)

    @property
    def effective(self) -> float:
        """Return how many bills that know nothing of each other they are worth. [-]"""
        return self.bills * (1.0 - self.rho) / (1.0 + self.rho)


def fit(x: Floats, used_l: Floats, days: Floats) -> Fit:
    """Fit use to its terms; a longer bill may be farther off, so each counts by one over its days.

    Parameters
    ----------
    x : ndarray, shape (bills, terms)
        Columns of ``terms.design``.
    used_l : ndarray, shape (bills,)
        What the meter used in each bill, in order of time. [L]
    days : ndarray, shape (bills,)
        Days of each bill, above 0. [d]

    Returns
    -------
    Fit
        CV(RMSE) is the root of the residuals' mean square, n - p below the bar, over the mean use; NMBE their
        sum over n - p and the mean use, above 0 where the baseline says too little; rho the correlation of
        each residual with the next, by daily mean, with p / n added back, 0 where it is negative: what is
        left of a regression follows less than the errors did, on invented meters by about that much.

    Raises
    ------
    ValueError
        If there are no more bills than terms, the terms can't be told apart, or nothing was used.

    References
    ----------
    .. [1] ASHRAE Guideline 14 (2014), 5.2.11: CV(RMSE), NMBE; 4.2.11.2: effective points. Secondary, as the
       guideline's text wasn't readable.
    """
    n, p = x.shape
    if n <= p:
        raise ValueError(f"there are {n} bills for {p} terms; there must be more bills than terms")
    if (days <= 0).any():
        raise ValueError("days must be above 0")
    mean = float(used_l.mean())
    if mean <= 0:
        raise ValueError("nothing was used in these bills")
    weight = 1.0 / np.sqrt(days)
    scale = np.abs(x).max(axis=0)
    if (scale <= 0).any():
        raise ValueError("a term is nothing in every bill")
    solved, _, rank, _ = np.linalg.lstsq(x / scale * weight[:, None], used_l * weight, rcond=None)
    if rank < p:
        raise ValueError("the terms go together in these bills, so they can't be told apart")
    coefficients = solved / scale
    weighted = x * weight[:, None] / scale
    residuals = used_l - x @ coefficients
    by_day = residuals / days
    apart = float(((used_l - mean) ** 2).sum())
    return Fit(
        x=x,
        coefficients=coefficients,
        spread=np.linalg.inv(weighted.T @ weighted) / np.outer(scale, scale),
        residuals=residuals,
        days=days,
        variance=float((residuals**2 / days).sum() / (n - p)),
        cv_rmse=float(np.sqrt((residuals**2).sum() / (n - p)) / mean),
        r2=1.0 - float((residuals**2).sum()) / apart if apart > 0 else 0.0,
        nmbe=float(residuals.sum() / ((n - p) * mean)),
        rho=min(max(_follows(by_day) + p / n, 0.0), MOST_RHO),
    )


def _follows(residuals: Floats) -> float:
    """Return how far each value follows the one before, -1 to 1; 0 where they hardly differ."""
    apart = residuals - residuals.mean()
    total = float((apart**2).sum())
    return float((apart[1:] * apart[:-1]).sum() / total) if total > 0 else 0.0
