"""Figures as a person reads them, for all floors: their digits, how often in a hundred, counts in words."""

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


def plus_minus(value: float, half_width: float) -> str:
    """Write a number with its half-width, for a cell of a table.

    Examples
    --------
    >>> plus_minus(5.604, 0.197)
    '5.60 ± 0.20'
    """
    return f"{number(value, half_width)} ± {half_width:.{decimals(half_width)}f}"


def signed(value: float, half_width: float) -> str:
    """Write a difference with its sign.

    Examples
    --------
    >>> signed(0.451, 0.2), signed(-0.3, 0.2), signed(-1e-9, 0.2)
    ('+0.45', '-0.30', '+0.00')
    """
    text = number(value, half_width)
    return text if text.startswith("-") else f"+{text}"


def typed(value: float) -> str:
    """Write a number as a person types it or a display shows it, with one decimal at least.

    Parameters
    ----------
    value : float
        A limit or an indication.

    Returns
    -------
    str
        With more decimals only where it has them.

    Examples
    --------
    >>> typed(5.0), typed(5.25)
    ('5.0', '5.25')
    """
    return f"{value:.1f}" if round(value, 1) == value else f"{value:g}"


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
