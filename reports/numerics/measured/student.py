"""Quantiles of Student's t distribution, which the standard library lacks."""

from math import exp, inf, lgamma, log

TINY = 1e-300
ROUNDS = 300


def t_quantile(confidence: float, degrees: float) -> float:
    """Return the t between whose minus and plus the given share of the distribution lies.

    Parameters
    ----------
    confidence
        Two-sided, above 0 and below 1; 0.90 for a 90 % interval. [-]
    degrees
        Degrees of freedom, above 0; need not be whole. [-]

    Returns
    -------
    float
        1.812 for 90 % and 10 degrees.

    Raises
    ------
    ValueError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Abramowitz and Stegun (1964), 26.5.27 and 26.7.1: t by the incomplete beta function; from memory.
    """
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"confidence is {confidence:g}, accepted above 0 and below 1")
    if not 0.0 < degrees < inf:
        raise ValueError(f"degrees is {degrees:g}, accepted above 0")
    low, high = 0.0, 1.0
    while _between(high, degrees) < confidence:
        low, high = high, 2.0 * high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):  # as near as numbers are
            break
        if _between(middle, degrees) < confidence:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _between(t: float, degrees: float) -> float:
    """Return the share of the distribution between -t and t."""
    return 1.0 - _incomplete_beta(degrees / 2.0, 0.5, degrees / (degrees + t * t))


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """Return the regularised incomplete beta function, 0 to 1."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(1.0 - x))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(a, b, x) / a
    return 1.0 - front * _fraction(b, a, 1.0 - x) / b


def _fraction(a: float, b: float, x: float) -> float:
    """Return the continued fraction behind it, by Lentz's rule."""
    c, d = 1.0, 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for n in range(1, ROUNDS):
        for step in (
            n * (b - n) * x / ((a + 2 * n - 1) * (a + 2 * n)),
            -(a + n) * (a + b + n) * x / ((a + 2 * n) * (a + 2 * n + 1)),
        ):
            d = 1.0 / _not_zero(1.0 + step * d)
            c = _not_zero(1.0 + step / c)
            value *= d * c
        if abs(d * c - 1.0) < 1e-14:
            break
    return value


def _not_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY
