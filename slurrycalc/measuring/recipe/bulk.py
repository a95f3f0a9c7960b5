"""Amounts of substrate by the bucket: litres, quarts and cups, as a hand can measure them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, log10

from slurrycalc.measuring.recipe.measures import kitchen_measure
from slurrycalc.metrology.annotate import MilliLitreValue
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.amounts import mixed_number

_MANY_CUPS = 12
_HALVES = (10.0, 50.0)
_SHORT = 1e-3
"""What is to be enough may lack so much of itself: no hand measures it."""


@dataclass(frozen=True, slots=True)
class Bulk(Result, says=("words",)):
    """A volume of loose substrate."""

    volume: MilliLitreValue
    """Not rounded."""
    litres: str
    """Rounded, as it is said; so are the next two."""
    quarts: str
    cups: str

    @property
    def words(self) -> str:
        """The amount in all three measures."""
        return f"{self.litres} ({self.quarts}, {self.cups})"


def bulk(volume: float, cup: str = "us", *, up: bool = False) -> Bulk:
    """Say a volume of substrate in measures of a bucket and of a kitchen.

    Parameters
    ----------
    volume : float
        Above 0. [mL]
    cup : str
        Whose cups are meant, as in :func:`slurrycalc.metrology.units.parse`. Quarts are US ones unless the
        cups are imperial.
    up : bool
        Upward, for what is to be enough.

    Returns
    -------
    Bulk
        Litres to two figures, quarts to a quarter, cups to a quarter or, above a dozen, to a whole one.
        Upward, litres from 10 to 50 are said to a half.

    References
    ----------
    .. [1] NIST Handbook 44, Appendix C: the quart is a quarter of a gallon.

    Examples
    --------
    >>> bulk(8750.0).words
    '8.8 L (9 1/4 qt, 37 cups)'
    >>> bulk(600.0).words
    '0.60 L (3/4 qt, 2 1/2 cups)'
    >>> bulk(12109.0, up=True).words
    '12.5 L (13 qt, 52 cups)'
    """
    quart = magnitude("1 qt", "volume", cup=cup)
    quarters = Fraction(max(1, _whole(4.0 * volume / quart, up=up)), 4)
    return Bulk(
        volume=volume,
        litres=_litres(volume / 1000.0, up=up),
        quarts=f"{mixed_number(quarters)} qt",
        cups=_cups(volume, cup, up=up),
    )


def _whole(number: float, *, up: bool) -> int:
    return ceil(number * (1.0 - _SHORT)) if up else round(number)


def _litres(volume: float, *, up: bool) -> str:
    places = max(0, 1 - floor(log10(volume)))
    if not up:
        return f"{volume:.{places}f} L"
    if _HALVES[0] <= volume < _HALVES[1]:
        return f"{_whole(2.0 * volume, up=True) / 2.0:g} L"
    return f"{_whole(volume * 10**places, up=True) / 10**places:.{places}f} L"


def _cups(volume: float, cup: str, *, up: bool) -> str:
    whole = magnitude("1 cup", "volume", cup=cup)
    if volume >= _MANY_CUPS * whole:
        return f"{_whole(volume / whole, up=up)} cups"
    near = kitchen_measure(volume, cup)
    if not up or near.amount >= volume * (1.0 - _SHORT):
        return near.words
    return kitchen_measure(_whole(4.0 * volume / whole, up=True) * whole / 4.0, cup).words
