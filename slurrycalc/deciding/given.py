"""What a plan is made from: numbers, texts, and results of the bench, all taken in by one door."""

from __future__ import annotations

from math import isfinite
from typing import Any, TypeAlias

import pint
from uncertainties import UFloat

from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95, Uncertain, linear, nameless
from slurrycalc.metrology.units import magnitude, stated
from slurrycalc.metrology.units.kinds import Kind
from slurrycalc.metrology.units.slips import within

Given: TypeAlias = float | str | pint.Quantity[Any] | UFloat | SlurryResult
"""A number, a text such as ``5.41`` or ``5.60+-0.20`` (a 95 % half-width), a quantity, an uncertain number,
or one enclosure's pH."""

WIDEST = 3.0
"""A 95 % half-width beyond it is a slip (our own limit). [pH]"""


def taken(given: Given, kind: Kind, what: str) -> Uncertain:
    """Take in a number that may be uncertain.

    Parameters
    ----------
    given : float, str, pint.Quantity, UFloat or SlurryResult
        In the canonical unit of the kind, or with its unit.
    kind : Kind
        What kind of amount it is.
    what : str
        What it is called in a budget and in a refusal.

    Returns
    -------
    float or UFloat
        Exact only where no doubt was stated. [canonical unit]

    Raises
    ------
    Refusal
        If it is no such amount.

    Examples
    --------
    >>> print(taken("5.60+-0.20", "ph", "pH now"))
    5.60+/-0.10
    >>> taken(5.6, "ph", "pH now")
    5.6
    """
    if isinstance(given, SlurryResult):
        given = given.ph
    try:
        if isinstance(given, UFloat):
            within(float(given.n), kind, given)
            if not isfinite(given.s):
                raise Refusal(f"{quoted(given)} has no finite doubt; give for instance 5.60+-0.20.")
            return given
        if isinstance(given, str):
            value, half = stated(given, kind)
            if half is None:
                return value
            if kind == "ph" and half > WIDEST:
                raise Refusal(
                    f"{quoted(given)} holds nearly every pH there is, and says nothing: give a half-width "
                    "such as 5.60+-0.20."
                )
            return value + nameless(half / NORMAL_95, what, "given", "stated half-width of 95 %")
        return magnitude(given, kind)
    except Refusal as refusal:
        raise refusal.at(what) from None


def uncertain(number: Uncertain) -> UFloat:
    """Give a number as an uncertain one.

    Parameters
    ----------
    number : float or UFloat

    Returns
    -------
    UFloat
        Without doubt where it had none.

    Examples
    --------
    >>> print(uncertain(5.6))
    5.6+/-0
    """
    return number if isinstance(number, UFloat) else linear(number, {})


def nominal(number: Uncertain) -> float:
    """Give a number without its doubt.

    Parameters
    ----------
    number : float or UFloat

    Returns
    -------
    float

    Examples
    --------
    >>> nominal(5.6)
    5.6
    """
    return float(number.n) if isinstance(number, UFloat) else float(number)


def as_quoted(number: Uncertain) -> str:
    """Write a number as a sentence quotes it.

    Parameters
    ----------
    number : float or UFloat

    Returns
    -------
    str
        One that bears doubt to a hundredth, any other as it was given.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> as_quoted(6.625), as_quoted(ufloat(6.6932, 0.07))
    ('6.625', '6.69')
    """
    value = nominal(number)
    return f"{round(value, 2) if isinstance(number, UFloat) else value:g}"
