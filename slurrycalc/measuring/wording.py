"""Figures as a person reads them: with their digits, how often in a hundred, counts in words."""

from __future__ import annotations

_COUNTS = ("no", "one", "two", "three", "four", "five", "six")
_PLACES = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


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


def lowered(text: str) -> str:
    """Begin a sentence with a small letter, so that it goes on another one."""
    return text[0].lower() + text[1:]


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


def seldom(p: float) -> str:
    """Write that something comes by chance less often than so many in 100.

    Examples
    --------
    >>> seldom(0.05)
    'less than 5 in 100'
    """
    return f"less than {100.0 * p:g} in 100"


def how_sure(claim: str, opposite: str, p: float) -> str:
    """Say how likely something is in words, with so many in 10 where it is not sure.

    Parameters
    ----------
    claim : str
        What may be so, without its verb: ``inside your range``.
    opposite : str
        What is so otherwise, to be said where it is the likelier by far.
    p : float
        Probability of the claim.

    Returns
    -------
    str
        One sentence; ``almost surely`` from 99 in 100, ``surely`` from 95, ``probably`` from 70.

    Examples
    --------
    >>> how_sure("above the floor", "below the floor", 0.97)
    'Surely above the floor.'
    >>> how_sure("above the floor", "below the floor", 0.18)
    'Probably below the floor (8 in 10).'
    >>> how_sure("above the floor", "below the floor", 0.57)
    'Above the floor: too close to tell (6 in 10).'
    """
    if p < 0.30:
        return how_sure(opposite, claim, 1.0 - p)
    sure, often = _surely(p)
    if not sure:
        return f"{claim[0].upper()}{claim[1:]}: too close to tell{often}."
    return f"{sure[0].upper()}{sure[1:]} {claim}{often}."


def _surely(p: float) -> tuple[str, str]:
    """Say how sure something is, if it is not too close to tell; and how often, where it is not sure."""
    if p >= 0.95:
        return ("almost surely" if p >= 0.99 else "surely"), ""
    return ("probably" if p >= 0.70 else ""), f" ({so_often(p)})"


def so_often(p: float) -> str:
    """Write a chance as so many in 10, in 100 where that is none.

    Examples
    --------
    >>> so_often(0.31), so_often(0.04)
    ('3 in 10', '4 in 100')
    """
    tens = round(10.0 * p)
    return f"{tens} in 10" if tens else f"{round(100.0 * p)} in 100"


def it_is(where: str, p: float) -> str:
    """Say that something is somewhere, as surely as its chance allows.

    Examples
    --------
    >>> it_is("below its floor", 0.97), it_is("below its floor", 0.2)
    ('it is surely below its floor', 'it may be below its floor (2 in 10)')
    """
    sure, often = _surely(p)
    return f"it {f'is {sure}' if sure else 'may be'} {where}{often}"


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
