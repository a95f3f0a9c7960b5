"""Whose cups and spoons are meant."""

from __future__ import annotations

import math
from functools import cache
from typing import Final

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.grammar import Spoken, spoken
from slurrycalc.metrology.units.registry import Quantity
from slurrycalc.metrology.units.spellings import plain_spelling, units_of

_SPOONS = {"tablespoon": "metric_tablespoon", "teaspoon": "metric_teaspoon"}
_MEASURES: Final[dict[str, dict[str, str]]] = {
    "us": {},
    "metric": {"cup": "metric_cup", **_SPOONS},
    "imperial": {
        "cup": "imperial_cup",
        "fluid_ounce": "imperial_fluid_ounce",
        "pint": "imperial_pint",
        "quart": "imperial_quart",
        "gallon": "imperial_gallon",
        **_SPOONS,
    },
}
# A cup outside these is no kitchen cup (our own limits). [mL]
_CUP_LIMITS = (50.0, 1000.0)


def cup_size(cup: str = "us") -> float:
    """Size of a cup.

    Parameters
    ----------
    cup : str
        ``"us"``, ``"metric"``, ``"imperial"``, or a volume such as ``"240 mL"``.

    Returns
    -------
    float
        Its volume. [mL]

    Raises
    ------
    Refusal
        If it is none of these, or no size of a kitchen cup.

    References
    ----------
    .. [1] NIST SP 430, Household Weights and Measures: the US cup is 8 fluid ounces.

    Examples
    --------
    >>> [round(cup_size(cup), 2) for cup in ("us", "metric", "imperial", "240 mL")]
    [236.59, 250.0, 284.13, 240.0]
    """
    own = _measures(cup)
    if own is not None:
        return factor(own.get("cup", "cup"), "mL")
    try:
        said = spoken(cup, "240 mL")
    except Refusal:
        said = Spoken(math.nan, "", False)
    unit = units_of("volume").get(plain_spelling(said.unit))
    size = math.nan if unit is None else said.number * factor(unit, "mL")
    if not _CUP_LIMITS[0] <= size <= _CUP_LIMITS[1]:
        raise Refusal(
            f"{quoted(cup)} is no kitchen cup: write `us`, `metric`, `imperial` or a size like `240 mL`."
        )
    return size


def _measures(cup: str) -> dict[str, str] | None:
    return _MEASURES.get(cup.strip().casefold())


def cup_words(cup: str = "us") -> str:
    """Say whose cup is meant, and how large it is.

    Parameters
    ----------
    cup : str
        As in :func:`cup_size`.

    Returns
    -------
    str
        Words for a printed recipe.

    Raises
    ------
    Refusal
        If that is no cup.

    Examples
    --------
    >>> cup_words("us"), cup_words("240 mL")
    ('US cup, 237 mL', 'cup of 240 mL')
    """
    size = f"{cup_size(cup):.0f} mL"
    name = cup.strip().casefold()
    return f"{'US' if name == 'us' else name} cup, {size}" if name in _MEASURES else f"cup of {size}"


def kitchen_unit(number: float, unit: str, cup: str) -> tuple[float, str]:
    """Replace a kitchen measure by the one that is meant.

    Parameters
    ----------
    number : float
        How many.
    unit : str
        A unit of :mod:`slurrycalc.metrology.units.spellings`.
    cup : str
        Whose cup, as in :func:`cup_size`.

    Returns
    -------
    number : float
        How many of the unit that is meant.
    unit : str
        A unit of :mod:`slurrycalc.metrology.units.registry`.

    Raises
    ------
    Refusal
        If that is no cup.

    Examples
    --------
    >>> kitchen_unit(0.5, "cup", "metric"), kitchen_unit(0.5, "cup", "240 mL")
    ((0.5, 'metric_cup'), (120.0, 'mL'))
    """
    own = _measures(cup)
    if own is None or unit == "g/cup":
        size = cup_size(cup)
        if unit == "cup":
            return number * size, "mL"
        if unit == "g/cup":
            return number / size, "g/mL"
    return number, (own or {}).get(unit, unit)


@cache
def factor(unit: str, canonical: str) -> float:
    """Give how much of one unit another one is.

    Parameters
    ----------
    unit : str
        A unit of :mod:`slurrycalc.metrology.units.registry`.
    canonical : str
        Another of the same dimension, without an offset.

    Returns
    -------
    float
        The canonical amount that one of the unit is.

    Examples
    --------
    >>> factor("inch", "cm")
    2.54
    """
    return float(Quantity(1.0, unit).to(canonical).magnitude)
