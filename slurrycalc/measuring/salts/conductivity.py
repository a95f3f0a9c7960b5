"""A reading of conductivity: taken in, and brought to 25 degC."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any, Final, TypeAlias

import pint
from uncertainties import UFloat

from slurrycalc.data.assumed import CONDUCTIVITY_COEFFICIENT
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain
from slurrycalc.metrology.units import magnitude
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


def ec25(
    reading: Given | UFloat, temperature: Given | UFloat, coefficient: Uncertain =
    CONDUCTIVITY_COEFFICIENT.value
) -> Uncertain:
    """Bring a conductivity to 25 degC.

    Parameters
    ----------
    reading : float, str, pint.Quantity or UFloat
        As read, by a meter that does not compensate for temperature itself. [uS/cm]
    temperature : float, str, pint.Quantity or UFloat
        Of the solution. [degC]
    coefficient : float or UFloat
        Growth with temperature, of the value at 25 degC. [1/degC]

    Returns
    -------
    float or UFloat
        κ25 = κ / (1 + 0.0191 (T − 25)). [uS/cm]

    Raises
    ------
    Refusal
        If either is no such amount, or the temperature is outside 0 to 60 degC.

    References
    ----------
    .. [1] ISO 7888:1985, Water quality: determination of electrical conductivity (linear compensation).

    Examples
    --------
    >>> round(ec25("1278 uS/cm", "20 C"))
    1413
    >>> round(ec25(1147.0, 15.0))
    1418
    """
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
    slurrycalc.metrology.remark.Refusal: `940 mS/cm` is more than a slurry conducts: did you mean
    `940 uS/cm`?
    >>> conductivity(0.94)
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `0.94 uS/cm` is less than a slurry conducts: did you mean
    `0.94 mS/cm`?
    """
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
    right = f"did you mean `{shown:g} {unit}`?" if low <= meant <= high else "write for instance `940 uS/cm`."
    raise Refusal(f"{quoted(said)} is {'more' if value > high else 'less'} than {what} conducts: {right}")


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
