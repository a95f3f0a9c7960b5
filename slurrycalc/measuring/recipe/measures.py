"""Amounts as a hand can measure them: with a set of cups and spoons, a jug, a scale."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import NamedTuple

from slurrycalc.data.assumed import SIMPLE_MEASURE
from slurrycalc.metrology.units import magnitude
from slurrycalc.metrology.units.amounts import mixed_number


class Measure(NamedTuple):
    """An amount that can be measured out."""

    words: str
    """As it is said; :func:`slurrycalc.metrology.units.parse` reads it back."""
    amount: float
    """What it is. [mL, or g on a scale]"""


def kitchen_measure(volume: float, cup: str = "us") -> Measure:
    """Round a volume to what a set of cups and spoons can measure.

    A set has cups of 1, 1/2, 1/3 and 1/4, a tablespoon, and teaspoons of 1, 1/2 and 1/4.

    Parameters
    ----------
    volume : float
        Wanted, above 0. [mL]
    cup : str
        Whose cups and spoons, as in :func:`slurrycalc.metrology.units.parse`.

    Returns
    -------
    Measure
        The nearest one of a single kind of cup or spoon where it is within 3 %, else the nearest sum of two.
        [mL]

    References
    ----------
    .. [1] NIST SP 430, Household Weights and Measures: the measures of a kitchen set.

    Examples
    --------
    >>> kitchen_measure(118.0).words, kitchen_measure(350.0).words, kitchen_measure(90.0).words
    ('1/2 cup', '1 1/2 cups', '1/4 cup + 2 tbsp')
    >>> kitchen_measure(120.0, "240 mL")
    Measure(words='1/2 cup', amount=120.0)
    """
    single, sums = _kitchen_set(cup)
    whole = magnitude("1 cup", "volume", cup=cup)
    if volume > _MOST_CUPS * whole:
        return _said(Fraction(round(4 * volume / whole), 4), "cup", whole)
    best, simple = _nearest(single + sums, volume), _nearest(single, volume)
    exact = abs(best.amount - volume) <= _EXACT * volume
    return best if exact or abs(simple.amount - volume) > SIMPLE_MEASURE.value * volume else simple


def fluid_ounces(volume: float, cup: str = "us") -> Measure:
    """Round a volume to half fluid ounces.

    Parameters
    ----------
    volume : float
        Wanted, above 0. [mL]
    cup : str
        ``"imperial"`` takes imperial fluid ounces, anything else US ones.

    Returns
    -------
    Measure
        At least half a fluid ounce. [mL]

    Examples
    --------
    >>> fluid_ounces(118.3).words, fluid_ounces(45.0).words
    ('4 fl oz', '1 1/2 fl oz')
    """
    ounce = magnitude("1 fl oz", "volume", cup=cup)
    return _said(Fraction(max(1, round(2 * volume / ounce)), 2), "fl oz", ounce)


def millilitres(volume: float) -> Measure:
    """Round a volume to what a jug or a beaker shows: 5 mL from 25 mL on, 1 mL below.

    Parameters
    ----------
    volume : float
        Wanted, above 0. [mL]

    Returns
    -------
    Measure
        At least 1 mL, from a litre on in litres. [mL]

    Examples
    --------
    >>> millilitres(118.3), millilitres(14.8)
    (Measure(words='120 mL', amount=120.0), Measure(words='15 mL', amount=15.0))
    >>> millilitres(1499.0).words
    '1.5 L'
    """
    step = 5 if volume >= 25.0 else 1
    rounded = max(1, step * round(volume / step))
    return Measure(f"{rounded} mL" if rounded < 1000 else f"{rounded / 1000:.8g} L", float(rounded))


def grams(mass: float) -> Measure:
    """Round a mass to what a kitchen scale shows.

    Parameters
    ----------
    mass : float
        Wanted, above 0. [g]

    Returns
    -------
    Measure
        Whole grams, at least 1. [g]

    Examples
    --------
    >>> grams(29.6)
    Measure(words='30 g', amount=30.0)
    """
    rounded = max(1, round(mass))
    return Measure(f"{rounded} g", float(rounded))


# Closer than any rounding of the same words. [1]
_EXACT = 1e-9
# Beyond so many cups, quarter cups are fine enough.
_MOST_CUPS = 4


@cache
def _kitchen_set(cup: str) -> tuple[tuple[Measure, ...], tuple[Measure, ...]]:
    """Measures of one kind of cup or spoon, and sums of two kinds, both from the simplest on."""
    whole, table, tea = (magnitude(f"1 {unit}", "volume", cup=cup) for unit in ("cup", "tbsp", "tsp"))
    parts = {Fraction(n, d) for d in (1, 2, 3, 4) for n in range(1, _MOST_CUPS * d + 1)}
    by_simplicity = sorted(parts, key=lambda part: (part.denominator, part))
    cups = [_said(part, "cup", whole) for part in by_simplicity]
    tables = [_said(Fraction(n), "tbsp", table) for n in (1, 2, 3, 4)]
    quarters = sorted((Fraction(n, 4) for n in range(1, 12)), key=lambda part: (part.denominator, part))
    teas = [_said(part, "tsp", tea) for part in quarters]
    halves = [_said(Fraction(n, 2), "tsp", tea) for n in (2, 4, 1, 3, 5)]
    sums = [(a, b) for a in cups for b in (*tables[:3], halves[3])]
    sums += [(a, b) for a in tables for b in halves]
    both = (Measure(f"{a.words} + {b.words}", a.amount + b.amount) for a, b in sums)
    return (*cups, *tables, *teas), tuple(both)


def _said(number: Fraction, unit: str, size: float) -> Measure:
    many = "s" if unit == "cup" and number > 1 else ""
    return Measure(f"{mixed_number(number)} {unit}{many}", float(number) * size)


def _nearest(among: tuple[Measure, ...], volume: float) -> Measure:
    # The first of equals is the simplest.
    return min(among, key=lambda measure: round(abs(measure.amount - volume), 6))
