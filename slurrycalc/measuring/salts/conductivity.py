"""A reading of conductivity: taken in, and brought to 25 degC."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isfinite
from typing import Any, Final, TypeAlias, overload

import pint
from numpy.typing import NDArray
from uncertainties import UFloat

from slurrycalc.data.assumed import CONDUCTIVITY_COEFFICIENT
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.listed import Many, over
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.metrology.units import magnitude, stated
from slurrycalc.metrology.units.grammar import spoken
from slurrycalc.metrology.units.kitchen import factor
from slurrycalc.metrology.units.spellings import plain_spelling, units_of

Given: TypeAlias = float | str | pint.Quantity[Any]

REFERENCE = 25.0
"""Conductivities are compared at this temperature. [degC]"""
SLURRY_RANGE = (10.0, 20000.0)
"""What a slurry may conduct (our own limits, wide): a number beyond is mostly in another unit. [uS/cm]"""
WATER_RANGE = (0.0, 2000.0)
"""What water may conduct that somebody mixes slurries with (our own limits). [uS/cm]"""
STANDARD_RANGE = (0.2, 200000.0)
"""What a standard may conduct (our own limits, wide). [uS/cm]"""
ALLOWED: Final[Mapping[str, tuple[tuple[float, float], str]]] = {
    "slurry": (SLURRY_RANGE, "a slurry"),
    "blank": (WATER_RANGE, "water"),
    "standard": (STANDARD_RANGE, "a standard"),
}
"""What each role's reading may be [uS/cm], and what it was read in."""
_THOUSAND = 1000.0
_PLAUSIBLE = {SLURRY_RANGE: "940 uS/cm", WATER_RANGE: "6 uS/cm", STANDARD_RANGE: "1.40 mS/cm"}
_BARE = re.compile(r"([0-9][0-9.,]*)\s*(?:([uUmM\u00b5\u03bc])[sS])?")


class OtherUnit(Refusal):
    """A conductivity that is off by a thousand, or lacks a part of its unit: somebody may be asked.

    Parameters
    ----------
    sentence : str
        As of any refusal.
    meant : str
        What was probably meant.
    """

    def __init__(self, sentence: str, meant: str, where: str | None = None) -> None:
        super().__init__(sentence, where)
        self.meant = meant

    def at(self, where: str) -> OtherUnit:
        """Give the same refusal with its place in front."""
        return OtherUnit(self.sentence, self.meant, where if self.where is None else f"{where}, {self.where}")


@overload
def ec25(
    reading: Given | UFloat, temperature: Given | UFloat, coefficient: Uncertain = ...
) -> Uncertain: ...
@overload
def ec25(
    reading: Given | UFloat | Many, temperature: Given | UFloat | Many, coefficient: Uncertain = ...
) -> Uncertain | NDArray[Any]: ...
def ec25(
    reading: Given | UFloat | Many,
    temperature: Given | UFloat | Many,
    coefficient: Uncertain = CONDUCTIVITY_COEFFICIENT.value,
) -> Uncertain | NDArray[Any]:
    """Bring a conductivity to 25 degC.

    Parameters
    ----------
    reading : float, str, pint.Quantity or UFloat, or a sequence, array or Series of them
        As read, by a meter that does not compensate for temperature itself. [uS/cm]
    temperature : float, str, pint.Quantity or UFloat, or as many of them
        Of the solution. [degC]
    coefficient : float or UFloat
        Growth with temperature, of the value at 25 degC. [1/degC]

    Returns
    -------
    float or UFloat, or array of them, shape (n,)
        κ25 = κ / (1 + 0.0191 (T − 25)). [uS/cm]

    Raises
    ------
    Refusal
        If either is no such amount, the temperature is outside 0 to 60 degC, or the lengths differ.

    References
    ----------
    .. [1] ISO 7888:1985, Water quality: determination of electrical conductivity (linear compensation).

    Examples
    --------
    >>> round(ec25("1278 uS/cm", "20 C"))
    1413
    >>> round(ec25(1147.0, 15.0))
    1418
    >>> ec25([1147.0, 1278.0], [15.0, 20.0]).round().tolist()
    [1418.0, 1413.0]
    """
    return over(lambda one, at: _ec25(one, at, coefficient), reading, temperature)


def _ec25(reading: Given | UFloat, temperature: Given | UFloat, coefficient: Uncertain) -> Uncertain:
    value = reading if isinstance(reading, UFloat) else magnitude(reading, "conductivity")
    if isinstance(temperature, UFloat):
        bench_temperature(float(temperature.n))
        at: Uncertain = temperature
    else:
        at = bench_temperature(temperature)
    return value / (1.0 + coefficient * (at - REFERENCE))


def conductivity(
    reading: Given, allowed: tuple[float, float] = SLURRY_RANGE, what: str = "a slurry"
) -> float:
    """Take in a reading of conductivity, and ask where its unit is wrong by a thousand.

    Parameters
    ----------
    reading : float, str or pint.Quantity
        [uS/cm]
    allowed : (float, float)
        What can be meant. [uS/cm]
    what : str
        What was read.

    Returns
    -------
    float
        [uS/cm]

    Raises
    ------
    Refusal
        If it is no conductivity, or none that can be meant.

    Examples
    --------
    >>> conductivity("0.94 mS/cm")
    940.0
    >>> conductivity("940 mS/cm")
    Traceback (most recent call last):
    slurrycalc.measuring.salts.conductivity.OtherUnit: `940 mS/cm` is more than a slurry conducts:
    did you mean `940 uS/cm`?
    >>> conductivity(0.94)
    Traceback (most recent call last):
    slurrycalc.measuring.salts.conductivity.OtherUnit: `0.94 uS/cm` is less than a slurry conducts:
    did you mean `0.94 mS/cm`?
    """
    if isinstance(reading, str):
        _refuse_without_unit(reading, allowed)
    try:
        value = magnitude(reading, "conductivity")
    except Refusal:
        beyond = _beyond_the_door(reading)
        if beyond is None:
            raise
        value = beyond
    low, high = allowed
    if low <= value <= high:
        return value
    said = reading if isinstance(reading, str) else f"{value:g} uS/cm"
    meant = value / _THOUSAND if value > high else value * _THOUSAND
    unit = "uS/cm" if value > high else "mS/cm"
    shown = meant if value > high else value
    why = f"{quoted(said)} is {'more' if value > high else 'less'} than {what} conducts:"
    if low <= meant <= high:
        right = f"{shown:g} {unit}"
        raise OtherUnit(f"{why} did you mean `{right}`?", right)
    plausible = _PLAUSIBLE.get(allowed, "940 uS/cm")
    raise Refusal(f"{why} write for instance `{plausible}`.")


def seen_to(text: str, what: str) -> None:
    """See that a conductivity can be meant that may bear its half-width, ``0.28+-0.08 mS/cm``.

    Parameters
    ----------
    text : str
        As typed.
    what : str
        What was read.

    Raises
    ------
    Refusal
        As of `conductivity`; one without a half-width is quoted as it was typed.

    Examples
    --------
    >>> seen_to("0.28+-0.08 mS/cm", "a fresh mix")
    >>> seen_to("280 mS/cm", "a fresh mix")
    Traceback (most recent call last):
    slurrycalc.measuring.salts.conductivity.OtherUnit: `280 mS/cm` is more than a fresh mix conducts:
    did you mean `280 uS/cm`?
    """
    alone = re.search(r"±|\+/?-", text) is None
    conductivity(text if alone else stated(text, "conductivity")[0], what=what)


def _refuse_without_unit(text: str, allowed: tuple[float, float]) -> None:
    """Refuse a bare number, which can be read two ways, and a unit without its length."""
    bare = _BARE.fullmatch(text.strip())
    if bare is None:
        return
    number = magnitude(bare[1], "number")
    units = {"uS/cm": number, "mS/cm": number * _THOUSAND}
    if bare[2]:
        unit = "mS/cm" if bare[2] in "mM" else "uS/cm"
        right = f"{number:g} {unit}"
        raise OtherUnit(f"{quoted(text)} lacks what it is per: did you mean `{right}`?", right)
    # The reading that can be meant comes first.
    first, second = sorted(units, key=lambda unit: not allowed[0] <= units[unit] <= allowed[1])
    both = f"{quoted(text)} could be {number:g} {first} or {number:g} {second}, which differ a thousandfold:"
    right = f"{number:g} {first}"
    if allowed[0] <= units[first] <= allowed[1] and not allowed[0] <= units[second] <= allowed[1]:
        raise OtherUnit(f"{both} did you mean `{right}`?", right)
    raise Refusal(f"{both} write its unit too, like `{right}`.")


def _beyond_the_door(reading: Given) -> float | None:
    """Read what no door lets in, for being a thousandfold of what can be; None if that is not why."""
    if isinstance(reading, (int, float)):
        return float(reading) if reading > 0.0 and isfinite(reading) else None
    if not isinstance(reading, str):
        return None
    try:
        amount = spoken(reading, "940 uS/cm")
    except Refusal:
        return None
    unit = units_of("conductivity").get(plain_spelling(amount.unit))
    return None if unit is None or amount.number <= 0.0 else amount.number * factor(unit, "uS/cm")


def spoken_ec(value: float) -> str:
    """Write a conductivity as people say it.

    Parameters
    ----------
    value : float
        [uS/cm]

    Returns
    -------
    str
        In mS/cm to a hundredth; in uS/cm below 100.

    Examples
    --------
    >>> spoken_ec(938.4), spoken_ec(12.3)
    ('0.94 mS/cm', '12 uS/cm')
    """
    return f"{value / _THOUSAND:.2f} mS/cm" if abs(value) >= 100.0 else f"{value:.0f} uS/cm"
