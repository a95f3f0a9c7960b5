"""Numbers as a person reads them: how many digits, how often in a hundred."""

from __future__ import annotations

from math import isfinite

from slurrycalc.measuring.wording import two_figures

NORMAL_95 = 1.959963984540054
"""Half the width of a 95 % interval, in standard uncertainties, where only type B parts make it."""


def decimals(half_width: float) -> int:
    """Say how many decimals show a half-width to two significant figures.

    Parameters
    ----------
    half_width : float
        Half-width of an interval, in the unit of the number that it belongs to.

    Returns
    -------
    int
        Number of decimals, 0 to 6; 2 where the half-width is nothing or not finite.

    Examples
    --------
    >>> [decimals(h) for h in (0.2, 0.0996, 1.5, 12.0, 0.0)]
    [2, 2, 1, 0, 2]
    """
    if not isfinite(half_width) or half_width <= 0:
        return 2
    return len(two_figures(half_width).partition(".")[2])


def number(value: float, half_width: float) -> str:
    """Write a number to the place that its interval deserves.

    Parameters
    ----------
    value : float
        The number.
    half_width : float
        Half-width of its interval. [same unit]

    Returns
    -------
    str
        The number; minus nothing is nothing.

    Examples
    --------
    >>> number(5.6049, 0.197), number(-0.0004, 0.2)
    ('5.60', '0.00')
    """
    text = f"{value:.{decimals(half_width)}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def coverage(p: float) -> str:
    """Write a coverage probability as so many in 100, or in 1000 where a hundred is too coarse.

    Parameters
    ----------
    p : float
        Probability. [1]

    Returns
    -------
    str
        For instance ``95 in 100``.

    Examples
    --------
    >>> coverage(0.95), coverage(0.997)
    ('95 in 100', '997 in 1000')
    """
    base = 100
    while base < 1_000_000 and abs(p * base - round(p * base)) > 1e-9:
        base *= 10
    return f"{round(p * base)} in {base}"
