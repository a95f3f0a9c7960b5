"""Words of a command line that any command may have: numbers and whole numbers of options."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude


@contextmanager
def option(name: str) -> Iterator[None]:
    """Put an option's name in front of what is refused inside."""
    try:
        yield
    except Refusal as refusal:
        raise refusal.at(name) from None


def number(text: str, name: str) -> float:
    """Read the number of an option.

    Examples
    --------
    >>> number("0.95", "--p")
    0.95
    """
    with option(name):
        return magnitude(text, "number")


def coverage(text: str) -> float:
    """Read ``--p``.

    Parameters
    ----------
    text : str
        A probability; 0.5 to 0.9999, beyond which no interval of this program means anything.

    Returns
    -------
    float
        The coverage probability. [1]

    Raises
    ------
    Refusal
        If it is none.

    Examples
    --------
    >>> coverage("0.95")
    0.95
    """
    p = number(text, "--p")
    if not 0.5 <= p <= 0.9999:
        raise Refusal(f"--p: {quoted(text)} is no coverage probability, 0.5 to 0.9999; write like 0.95")
    return p


def count(text: str, name: str, most: int) -> int:
    """Read an option that counts something.

    Parameters
    ----------
    text : str
        A whole number from 1.
    name : str
        The option.
    most : int
        More than this is a slip.

    Returns
    -------
    int
        The number.

    Raises
    ------
    Refusal
        If it is no such number.

    Examples
    --------
    >>> count("2", "--slurries", 100)
    2
    """
    value = number(text, name)
    if value != int(value) or not 1 <= value <= most:
        raise Refusal(f"{name}: {quoted(text)} is no whole number from 1 to {most}; write like {name} 2")
    return int(value)
