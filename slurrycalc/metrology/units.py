"""Amounts with units: the one door by which texts, numbers and foreign quantities come in.

Inside, functions take plain numbers in the canonical unit of each kind (mL, g, cm, degC, min, mV, uS/cm, pH,
g/mL); :func:`magnitude` makes them, once, from whatever was given.
"""

from __future__ import annotations

import math
from functools import cache
from numbers import Real
from typing import Any, Final

import pint

from slurrycalc.metrology.grammar import Spoken, split_amounts, spoken, tidy
from slurrycalc.metrology.kinds import KINDS, Kind
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.registry import Quantity, registry
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.slips import example, ph_slip, wanted, within, without_unit, wrong_unit
from slurrycalc.metrology.spellings import plain_spelling, units_of

__all__ = [
    "Kind",
    "Quantity",
    "cup_size",
    "magnitude",
    "measured",
    "parse",
    "ph_slip",
    "quoted",
    "registry",
    "split_amounts",
    "stated",
]

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


def parse(
    text: str, kind: Kind | tuple[Kind, ...], *, cup: str = "us", bare: str | None = None
) -> pint.Quantity[float]:
    """Read an amount as people say it.

    Parameters
    ----------
    text : str
        What was typed, for instance ``1 1/2 cups``, ``½ cup``, ``4 fl oz``, ``-84.3mV`` or ``5,41``.
    kind : Kind or tuple of Kind
        What is wanted; with several, the first that has such a unit is taken.
    cup : str
        Whose kitchen measures are meant. ``"us"``; ``"metric"`` (cup of 250 mL, spoons of 15 and 5 mL);
        ``"imperial"`` (cup of ten imperial fluid ounces, imperial fluid ounces, pints, quarts and gallons,
        spoons of 15 and 5 mL); or the size of a cup, ``"240 mL"``, the other measures being the US ones.
    bare : str, optional
        The canonical unit of the first kind, where a column or a question has already said that a number
        without a unit has it. Otherwise only a pH and a plain number may stand alone.

    Returns
    -------
    pint.Quantity
        The number with a unit of :data:`registry`, not yet converted.

    Raises
    ------
    Refusal
        If the text cannot be read in exactly one way, or is no such amount.

    References
    ----------
    .. [1] NIST Handbook 44, Appendix C, and NIST SP 430, Household Weights and Measures: sizes of the US cup,
       spoons, fluid ounce, pint, quart, gallon, ounce and pound.

    Examples
    --------
    >>> print(parse("1 1/2 cups", "volume"))
    1.5 us_cup
    >>> print(round(parse("½ cup", "volume").to("mL"), 1))
    118.3 milliliter
    >>> print(round(parse("70 F", "temperature").to("degC"), 2))
    21.11 degree_Celsius
    >>> parse("4 oz", "volume")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `4 oz` could be 4 ounces by weight (113.4 g) or 4 fluid ounces
    (118.3 mL), which differ about fourfold for a light mix (0.25 g/mL) and by 4 % for water: write `4 oz wt`
    or `4 fl oz`.
    """
    kind, number, unit = _read(text, (kind,) if isinstance(kind, str) else kind, cup, bare)
    within(_canonical(number, unit, kind), kind, text.strip())
    return Quantity(number, unit)


def magnitude(
    value: float | str | pint.Quantity[Any], kind: Kind, *, cup: str = "us", bare: str | None = None
) -> float:
    """Bring an amount in by the door: a plain number in the canonical unit.

    Parameters
    ----------
    value : float, str or pint.Quantity
        A number already in the canonical unit, a text for :func:`parse`, or a quantity of any pint registry.
    kind : Kind
        What is wanted. Canonical units: volume [mL], mass [g], length [cm], temperature [degC], duration
        [min], potential [mV], conductivity [uS/cm], ph [pH], density [g/mL], number [1].
    cup : str
        Whose kitchen measures are meant, as in :func:`parse`.
    bare : str, optional
        The unit of a text's number that has none, as in :func:`parse`.

    Returns
    -------
    float
        The amount. [canonical unit]

    Raises
    ------
    Refusal
        If it is no such amount, is not finite, or cannot be meant (a negative volume, a pH of 403).

    Examples
    --------
    >>> round(magnitude("4 fl oz", "volume"), 6) == round(magnitude("1/2 cup", "volume"), 6)
    True
    >>> magnitude(84.3, "potential"), magnitude("84.3mV", "potential")
    (84.3, 84.3)
    >>> magnitude("21", "temperature", bare="degC")
    21.0
    >>> magnitude("403", "ph")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `403` is no pH, which runs from 0 to 14: did you mean `4.03`?
    """
    return measured(value, (kind,), cup=cup, bare=bare)[1]


def measured(
    value: float | str | pint.Quantity[Any],
    kinds: tuple[Kind, ...],
    *,
    cup: str = "us",
    bare: str | None = None,
) -> tuple[Kind, float]:
    """Bring in an amount that may be of several kinds, and say which it was.

    Parameters
    ----------
    value : float, str or pint.Quantity
        As in :func:`magnitude`; a plain number is of the first kind.
    kinds : tuple of Kind
        What is wanted.
    cup : str
        Whose kitchen measures are meant, as in :func:`parse`.
    bare : str, optional
        The unit of a text's number that has none, as in :func:`parse`.

    Returns
    -------
    kind : Kind
        What it was.
    number : float
        The amount. [canonical unit of that kind]

    Raises
    ------
    Refusal
        As :func:`magnitude`.

    Examples
    --------
    >>> measured("60 g", ("volume", "mass"))
    ('mass', 60.0)
    >>> kind, number = measured("1 cup", ("volume", "mass"))
    >>> kind, round(number, 3)
    ('volume', 236.588)
    """
    if isinstance(value, str):
        kind, number, unit = _read(value, kinds, cup, bare)
        return kind, within(_canonical(number, unit, kind), kind, value.strip())
    if isinstance(value, pint.Quantity):
        return _foreign(value, kinds)
    if isinstance(value, bool) or not isinstance(value, Real):
        raise Refusal(f"{quoted(value)} is not {wanted(kinds)}: write for instance {example(kinds)}.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    return kinds[0], within(number, kinds[0], value)


def stated(text: str, kind: Kind, *, cup: str = "us", bare: str | None = None) -> tuple[float, float | None]:
    """Read an amount that may carry its stated half-width, as in ``5.60+-0.20``.

    Parameters
    ----------
    text : str
        An amount, or two with ``+-``, ``+/-`` or ``±`` between. A unit after the second is meant for both.
    kind : Kind
        What is wanted; any but a temperature.
    cup : str
        Whose kitchen measures are meant, as in :func:`parse`.
    bare : str, optional
        The unit of a number that has none, as in :func:`parse`.

    Returns
    -------
    value : float
        The amount. [canonical unit]
    half_width : float or None
        Half the width of its stated 95 % interval, where one was given. [canonical unit]

    Raises
    ------
    Refusal
        If either part is no such amount, or the half-width is not above 0.

    Examples
    --------
    >>> stated("5.60+-0.20", "ph"), stated("5.60 ± 0,20", "ph"), stated("5.6", "ph")
    ((5.6, 0.2), (5.6, 0.2), (5.6, None))
    >>> stated("84.3 +/- 0.5 mV", "potential")
    (84.3, 0.5)
    """
    parts = tidy(text).replace("\u00b1", "+-").replace("+/-", "+-").split("+-")
    if len(parts) == 1:
        return magnitude(text, kind, cup=cup, bare=bare), None
    if len(parts) > 2 or kind == "temperature":
        raise Refusal(
            f"{quoted(text)} is not an amount with its half-width: write for instance `5.60+-0.20`."
        )
    try:
        unit = spoken(parts[1], KINDS[kind].example).unit
        first = parts[0] if spoken(parts[0], KINDS[kind].example).unit else f"{parts[0]} {unit}"
        value = magnitude(first, kind, cup=cup, bare=bare)
        half = magnitude(parts[1], kind, cup=cup, bare=bare)
    except Refusal as refusal:
        raise Refusal(refusal.sentence, f"in {quoted(text)}") from refusal
    if half <= 0:
        raise Refusal(f"{quoted(text)} has no width after its +-: write for instance `5.60+-0.20`.")
    return value, half


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
        return _canonical(1.0, own.get("cup", "cup"), "volume")
    try:
        size = magnitude(cup, "volume")
    except Refusal:
        size = math.nan
    if not _CUP_LIMITS[0] <= size <= _CUP_LIMITS[1]:
        raise Refusal(
            f"{quoted(cup)} is no kitchen cup: write `us`, `metric`, `imperial` or a size like `240 mL`."
        )
    return size


def _measures(cup: str) -> dict[str, str] | None:
    return _MEASURES.get(cup.strip().casefold())


def _read(text: str, kinds: tuple[Kind, ...], cup: str, bare: str | None) -> tuple[Kind, float, str]:
    """Read a text as a kind of amount, a number and one of our units."""
    said = text = text.strip()
    words = ""
    if said[:2].casefold() == "ph" and {"ph", "potential"} & set(kinds):
        said, words = said[2:].lstrip(" :="), "ph"
    try:
        amount = spoken(said, KINDS[kinds[0]].example)
    except Refusal as refusal:
        if not words:
            raise
        raise Refusal(
            f"{quoted(text)} is no pH that can be read: write for instance `5.41` or `pH 5.41`."
        ) from refusal
    kind, unit = _unit(text, amount, amount.unit or words, kinds, bare)
    if amount.fraction and not KINDS[kind].fraction:
        raise Refusal(
            f"{quoted(text)} is a fraction where {wanted((kind,))} is wanted: "
            f"write for instance {example((kind,))}."
        )
    return kind, *_sized(amount.number, unit, cup)


def _unit(
    text: str, amount: Spoken, words: str, kinds: tuple[Kind, ...], bare: str | None
) -> tuple[Kind, str]:
    """Find the kind of amount and our unit that the words of a unit mean."""
    key = plain_spelling(words)
    if key:
        for kind in kinds:
            unit = units_of(kind).get(key)
            if unit is not None:
                return kind, unit
        raise wrong_unit(text, amount, key, kinds)
    if bare is not None:
        return kinds[0], bare
    for kind in ("ph", "number"):
        if kind in kinds:
            return kind, KINDS[kind].canonical
    raise without_unit(text, amount, kinds)


def _sized(number: float, unit: str, cup: str) -> tuple[float, str]:
    """Take the kitchen measures that are meant."""
    own = _measures(cup)
    if own is None or unit == "g/cup":
        size = cup_size(cup)
        if unit == "cup":
            return number * size, "mL"
        if unit == "g/cup":
            return number / size, "g/mL"
    return number, (own or {}).get(unit, unit)


@cache
def _factor(unit: str, canonical: str) -> float:
    return float(Quantity(1.0, unit).to(canonical).magnitude)


def _canonical(number: float, unit: str, kind: Kind) -> float:
    canonical = KINDS[kind].canonical
    if unit == canonical:
        return number
    if kind == "temperature":
        return float(Quantity(number, unit).to(canonical).magnitude)
    return number * _factor(unit, canonical)


def _foreign(value: pint.Quantity[Any], kinds: tuple[Kind, ...]) -> tuple[Kind, float]:
    """Take a quantity of any registry by its own conversion."""
    for kind in kinds:
        # A foreign registry need not know our name for a pH: there it is a number without a dimension.
        canonical = "" if kind == "ph" else KINDS[kind].canonical
        try:
            number = float(value.to(canonical).magnitude)
        except (pint.PintError, TypeError, ValueError, AttributeError):
            continue
        return kind, within(number, kind, value)
    raise Refusal(f"{quoted(value)} is not {wanted(kinds)}: write for instance {example(kinds)}.")
