"""Numbers as a person reads them: how many digits, how many chances in a hundred."""

from __future__ import annotations

from math import floor, isfinite, log10


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
    rounded = float(f"{half_width:.1e}")
    return min(6, max(0, 1 - floor(log10(rounded))))


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


def chances(p: float) -> str:
    """Write a probability as chances in a hundred.

    Parameters
    ----------
    p : float
        Probability. [1]

    Returns
    -------
    str
        For instance ``97 chances in 100``.

    Examples
    --------
    >>> chances(0.968), chances(0.9996), chances(0.002)
    ('97 chances in 100', 'more than 99 chances in 100', 'less than 1 chance in 100')
    """
    if p > 0.99:
        return "more than 99 chances in 100"
    if p < 0.01:
        return "less than 1 chance in 100"
    count = round(100 * p)
    return f"{count} chance{'s' if count != 1 else ''} in 100"
