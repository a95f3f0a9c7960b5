"""Numbers with their intervals as a person reads them, each to the digits that its interval deserves."""

from __future__ import annotations

from math import floor, isfinite, log10


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


def in_a_line(value: float, ends: tuple[float, float], p: float, words: str = "pH {}") -> str:
    """Write a number with its interval inside a sentence.

    Parameters
    ----------
    value : float
        The number. [any unit]
    ends : pair of float
        Its interval. [same unit]
    p : float
        Coverage probability. [1]
    words : str
        What stands about the number: its name before ``{}``, its unit behind; ``{+}`` for a difference.

    Returns
    -------
    str
        An exact number has no interval.

    Examples
    --------
    >>> in_a_line(5.604, (5.41, 5.80), 0.95)
    'pH 5.60, between 5.41 and 5.80 (95 in 100)'
    >>> in_a_line(5.5, (5.5, 5.5), 0.95)
    'pH 5.50'
    >>> in_a_line(0.45, (0.2, 0.7), 0.95, "offset {+} pH")
    'offset +0.45 pH, between +0.20 and +0.70 (95 in 100)'
    """
    half = (ends[1] - ends[0]) / 2
    write = signed if "{+}" in words else number
    shown, low, high = (write(one, half) for one in (value, *ends))
    first = words.replace("{+}", "{}").format(shown)
    return f"{first}, between {low} and {high} ({coverage(p)})" if half else first
