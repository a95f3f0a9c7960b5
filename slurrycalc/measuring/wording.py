"""Figures inside sentences: half-widths, limits, chances in a hundred, small counts in words."""

from __future__ import annotations

from math import floor, isfinite, log10

_COUNTS = ("no", "one", "two", "three", "four", "five", "six")
_PLACES = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def two_figures(width: float) -> str:
    """Write a half-width or a standard deviation to two significant figures.

    Parameters
    ----------
    width : float
        In any unit, not negative.

    Returns
    -------
    str
        Without exponent.

    Examples
    --------
    >>> two_figures(0.2), two_figures(0.0724), two_figures(1.46)
    ('0.20', '0.072', '1.5')
    """
    if not isfinite(width) or width <= 0.0:
        return f"{width:g}"
    rounded = float(f"{width:.1e}")
    return f"{rounded:.{min(6, max(0, 1 - floor(log10(rounded))))}f}"


def limit(ph: float) -> str:
    """Write a limit as people do, with one decimal at least.

    Parameters
    ----------
    ph : float
        A limit. [pH]

    Returns
    -------
    str
        With more decimals only where it has them.

    Examples
    --------
    >>> limit(5.0), limit(5.25)
    ('5.0', '5.25')
    """
    return f"{ph:.1f}" if round(ph, 1) == ph else f"{ph:g}"


def in_hundred(p: float) -> str:
    """Write a probability as so many in 100.

    Parameters
    ----------
    p : float
        Probability.

    Returns
    -------
    str
        Never 0 nor 100, which would claim to be sure.

    Examples
    --------
    >>> in_hundred(0.968), in_hundred(0.9996), in_hundred(0.002)
    ('97 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if p > 0.99:
        return "more than 99 in 100"
    if p < 0.01:
        return "less than 1 in 100"
    return f"{round(100 * p)} in 100"


def count(n: int) -> str:
    """Write a small count in words.

    Parameters
    ----------
    n : int
        Not negative.

    Returns
    -------
    str
        In digits above six.

    Examples
    --------
    >>> count(2), count(12)
    ('two', '12')
    """
    return _COUNTS[n] if n < len(_COUNTS) else str(n)


def place(n: int) -> str:
    """Write a place in a row.

    Parameters
    ----------
    n : int
        From 1.

    Returns
    -------
    str
        In words up to ten.

    Examples
    --------
    >>> place(3), place(12)
    ('third', '12th')
    """
    return _PLACES[n] if n < len(_PLACES) else f"{n}th"
