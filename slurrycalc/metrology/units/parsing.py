"""Amounts with units: the one door by which texts, numbers and foreign quantities come in.

Inside, functions take plain numbers in the canonical unit of each kind (mL, g, cm, degC, min, mV, uS/cm, pH,
g/mL); :func:`magnitude` makes them, once, from whatever was given.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from numbers import Real
from typing import Any

import pint

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.grammar import Spoken, split_amounts, spoken, summands, tidy
from slurrycalc.metrology.units.kinds import KINDS, Kind
from slurrycalc.metrology.units.kitchen import cup_size, factor, kitchen_unit
from slurrycalc.metrology.units.registry import Quantity, registry
from slurrycalc.metrology.units.slips import example, ph_slip, wanted, within, without_unit, wrong_unit
from slurrycalc.metrology.units.spellings import plain_spelling, units_of

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

def parse(
    text: str, kind: Kind | tuple[Kind, ...], *, cup: str = "us", bare: str | None = None
) -> pint.Quantity[float]:
    """Read an amount as people say it.

    Parameters
    ----------
    text : str
        What was typed, for instance ``1 1/2 cups``, ``½ cup``, ``4 fl oz``, ``-84.3mV`` or ``5,41``.
    kind : Kind or tuple of Kind
        What is wanted; with several, the first that has such a unit is taken. ``"time"`` is a duration.
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
        If the text cannot be read in exactly one way, is no such amount, or no kind is called so.

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
    kind, number, unit = _read(text, _known((kind,) if isinstance(kind, str) else kind), cup, bare)
    within(_canonical(number, unit, kind), kind, text.strip())
    return Quantity(number, unit)


def _known(kinds: Sequence[str]) -> tuple[Kind, ...]:
    """Hold kinds to those that there are; a time is a duration."""
    found: list[Kind] = []
    for kind in kinds:
        name = next((one for one in KINDS if one == ("duration" if kind == "time" else kind)), None)
        if name is None:
            raise Refusal(f"{quoted(kind)} is no kind of amount: give one of {', '.join(KINDS)}.")
        found.append(name)
    return tuple(found)


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
        An amount, or two with ``+-``, ``+/-`` or ``±`` between. A unit after one of them is meant for both.
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
        if kind not in ("ph", "number"):
            units = [spoken(part, KINDS[kind].example).unit for part in parts]
            shared = next((unit for unit in reversed(units) if unit), "")
            parts = [part if unit else f"{part} {shared}" for part, unit in zip(parts, units, strict=True)]
        value, half = (magnitude(part, kind, cup=cup, bare=bare) for part in parts)
    except Refusal as refusal:
        raise refusal.at(quoted(text)) from refusal
    if half <= 0:
        raise Refusal(f"{quoted(text)} has no width after its +-: write for instance `5.60+-0.20`.")
    return value, half


def _read(text: str, kinds: tuple[Kind, ...], cup: str, bare: str | None) -> tuple[Kind, float, str]:
    """Read a text as a kind of amount, a number and one of our units."""
    text = text.strip()
    parts = summands(text) if {"volume", "mass"} & set(kinds) else [text]
    return _sum(text, parts, kinds, cup, bare) if len(parts) > 1 else _one(text, kinds, cup, bare)


def _sum(
    text: str, parts: list[str], kinds: tuple[Kind, ...], cup: str, bare: str | None
) -> tuple[Kind, float, str]:
    try:
        read = [measured(part, kinds, cup=cup, bare=bare) for part in parts]
    except Refusal as refusal:
        raise refusal.at(quoted(text)) from refusal
    kind = read[0][0]
    if any(other != kind for other, _ in read):
        raise Refusal(f"{quoted(text)} adds unlike amounts: write for instance `1/4 cup + 2 tbsp`.")
    return kind, math.fsum(number for _, number in read), KINDS[kind].canonical


def _one(text: str, kinds: tuple[Kind, ...], cup: str, bare: str | None) -> tuple[Kind, float, str]:
    said, words = text, ""
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
    return kind, *kitchen_unit(amount.number, unit, cup)


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


def _canonical(number: float, unit: str, kind: Kind) -> float:
    canonical = KINDS[kind].canonical
    if unit == canonical:
        return number
    if kind == "temperature":
        return float(Quantity(number, unit).to(canonical).magnitude)
    return number * factor(unit, canonical)


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
