"""Whether replicate slurries lie as close together as duplicates should."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import sqrt

import numpy as np
from scipy.special import erfc, erfcinv, ndtr

from slurrycalc.data.assumed import DUPLICATE_LIMIT
from slurrycalc.measuring.wording import in_hundred
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Remark

TYPICAL_SCATTERS = (0.05, 0.10)
"""For these it is said how often good slurries lie as far apart. [pH]"""


def beyond(width: float, sd: float, n: int = 2) -> float:
    """Give how often n good slurries lie farther apart than a width.

    Parameters
    ----------
    width : float
        From the lowest to the highest. [pH]
    sd : float
        Standard deviation of one slurry. [pH]
    n : int
        Number of slurries, at least 2.

    Returns
    -------
    float
        Probability, for normally distributed slurries: 1 - n int phi(x) (Phi(x + w) - Phi(x))^(n-1) dx.

    Examples
    --------
    >>> [round(beyond(0.15, sd), 3) for sd in (0.05, 0.10)]
    [0.034, 0.289]
    """
    if n == 2:
        return float(erfc(width / (2.0 * sd)))
    x = np.linspace(-8.0, 8.0, 801)
    density = np.exp(-(x**2) / 2.0) / sqrt(2.0 * np.pi)
    inside = n * density * (ndtr(x + width / sd) - ndtr(x)) ** (n - 1)
    return max(0.0, 1.0 - float(inside.sum()) * float(x[1] - x[0]))


@cache
def limit(n: int) -> float:
    """Give the width within which n slurries should lie.

    Parameters
    ----------
    n : int
        Number of slurries, at least 2.

    Returns
    -------
    float
        For duplicates 0.15; for more, the width that good ones pass as seldom as duplicates pass 0.15. [pH]

    References
    ----------
    .. [1] ISO 10390, repeatability of soil pH (from memory; borrowed, since it concerns homogenised soil).
    .. [2] ISO 5725-6, critical range of n results (from memory): the factors 2.8, 3.3, 3.6 for n = 2, 3, 4.

    Examples
    --------
    >>> round(limit(2), 2), round(limit(3), 3), round(limit(4), 3)
    (0.15, 0.179, 0.197)
    """
    if n == 2:
        return DUPLICATE_LIMIT.value
    # 0.15 is read as the 95 % limit of a difference.
    sd = DUPLICATE_LIMIT.value / (2.0 * float(erfcinv(0.05)))
    low, high = DUPLICATE_LIMIT.value, 10.0 * sd
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if beyond(middle, sd, n) > 0.05 else (low, middle)
    return (low + high) / 2.0


def duplicate_remark(values: Sequence[float]) -> Remark | None:
    """Say so where replicate slurries lie too far apart, and how often good ones lie as far apart as these.

    Parameters
    ----------
    values : sequence of float
        Independent slurries. [pH]

    Returns
    -------
    Remark or None
        None where they lie close enough, or there is but one.

    Examples
    --------
    >>> duplicate_remark([5.40, 5.50]) is None
    True
    >>> print(duplicate_remark([5.40, 5.60]).text)
    The two slurries lie 0.20 pH apart, farther than the 0.15 that duplicates keep (ISO 10390, from memory,
    borrowed from homogenised soil). Of good ones, less than 1 in 100 lie as far apart as these where slurries
    scatter by 0.05, and 16 in 100 at 0.10: mix a third.
    """
    n = len(values)
    if n < 2:
        return None
    width, allowed = max(values) - min(values), limit(n)
    # A hair's breadth of rounding is not a difference between slurries.
    if width <= allowed + 1e-9:
        return None
    often = _how_often(width, n)
    if n == 2:
        text = (
            f"The two slurries lie {two_figures(width)} pH apart, farther than the {allowed:.2f} that "
            f"duplicates keep (ISO 10390, from memory, borrowed from homogenised soil). {often}: mix a third."
        )
    else:
        text = (
            f"The {n} slurries spread over {two_figures(width)} pH, wider than the {allowed:.2f} that go "
            f"with duplicates within {DUPLICATE_LIMIT.value:.2f} (ISO 10390, from memory, borrowed from "
            f"homogenised soil). {often}: look whether one jar stands apart."
        )
    return Remark("far-apart", text)


def _how_often(width: float, n: int) -> str:
    at_first, at_second = (in_hundred(beyond(width, sd, n)) for sd in TYPICAL_SCATTERS)
    first, second = (f"{sd:.2f}" for sd in TYPICAL_SCATTERS)
    if at_first == at_second:
        return f"Of good ones, {at_first} lie as far apart as these, even where slurries scatter by {second}"
    return (
        f"Of good ones, {at_first} lie as far apart as these where slurries scatter by {first}, and "
        f"{at_second} at {second}"
    )
