"""Amounts of substrate by the bucket: litres, quarts and cups, as a hand can measure them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor, log10

from slurrycalc.measuring.recipe.measures import kitchen_measure
from slurrycalc.metrology.annotate import MilliLitreValue
from slurrycalc.metrology.units import magnitude

_MANY_CUPS = 12


@dataclass(frozen=True, slots=True)
class Bulk:
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


def bulk(volume: float, cup: str = "us") -> Bulk:
    """Say a volume of substrate in measures of a bucket and of a kitchen.

    Parameters
    ----------
    volume : float
        Above 0. [mL]
    cup : str
        Whose cups are meant, as in :func:`slurrycalc.metrology.units.parse`. Quarts are US ones unless the
        cups are imperial.

    Returns
    -------
    Bulk
        Litres to two figures, quarts to a quarter, cups to a quarter or, above a dozen, to a whole one.

    References
    ----------
    .. [1] NIST Handbook 44, Appendix C: the quart is a quarter of a gallon.

    Examples
    --------
    >>> bulk(8750.0).words
    '8.8 L (9 1/4 qt, 37 cups)'
    >>> bulk(600.0).words
    '0.60 L (3/4 qt, 2 1/2 cups)'
    """
    places = max(0, 1 - floor(log10(volume / 1000.0)))
    quart = magnitude("1 qt", "volume", cup=cup)
    quarters = Fraction(max(1, round(4.0 * volume / quart)), 4)
    whole, part = divmod(quarters, 1)
    quarts = " ".join(str(piece) for piece in (whole, part) if piece)
    return Bulk(
        volume=volume,
        litres=f"{volume / 1000.0:.{places}f} L",
        quarts=f"{quarts} qt",
        cups=_cups(volume, cup),
    )


def _cups(volume: float, cup: str) -> str:
    whole = magnitude("1 cup", "volume", cup=cup)
    if volume < _MANY_CUPS * whole:
        return kitchen_measure(volume, cup).words
    return f"{round(volume / whole)} cups"
