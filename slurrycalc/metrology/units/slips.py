"""Sentences for amounts that cannot stand: each quotes what was given, says why, and shows a right one."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from difflib import get_close_matches

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.grammar import Spoken, tidy
from slurrycalc.metrology.units.kinds import KINDS, Kind
from slurrycalc.metrology.units.registry import Quantity
from slurrycalc.metrology.units.spellings import units_of

# A large number was meant in the smaller unit: 118 mL, not 118 cups.
_SMALLER: dict[Kind, str] = {"volume": "mL", "conductivity": "uS/cm", "density": "g/L"}
_LOOKS_LIKE = str.maketrans("oOlI|", "00111")
_OUNCES = ("oz", "ozs", "ounce", "ounces")


def wanted(kinds: tuple[Kind, ...]) -> str:
    """Name the kinds of amount that are wanted.

    Parameters
    ----------
    kinds : tuple of Kind
        The kinds.

    Returns
    -------
    str
        Their names with an "or" between.

    Examples
    --------
    >>> wanted(("volume", "mass"))
    'a volume or a mass'
    """
    return " or ".join(KINDS[kind].name for kind in kinds)


def example(kinds: tuple[Kind, ...]) -> str:
    """Quote a right amount of the first kind.

    Parameters
    ----------
    kinds : tuple of Kind
        The kinds that are wanted.

    Returns
    -------
    str
        A right one, between backticks.

    Examples
    --------
    >>> example(("volume", "mass"))
    '`1/2 cup`'
    """
    return quoted(KINDS[kinds[0]].example)


def ph_slip(number: float) -> str | None:
    """Guess the pH that was meant by a number that is none.

    Parameters
    ----------
    number : float
        A number outside 0 to 14, as a slip of the finger leaves it. [pH]

    Returns
    -------
    str or None
        The pH with its point or sign mended, where one between 2 and 13 comes of it.

    Examples
    --------
    >>> ph_slip(403), ph_slip(54.1), ph_slip(1001), ph_slip(-5.41), ph_slip(99999), ph_slip(5.41)
    ('4.03', '5.41', '10.01', '5.41', None, None)
    """
    if not math.isfinite(number) or 0 <= number <= 14:
        return None
    exact = abs(Decimal(repr(float(number))))
    # A minus that came in by a slip is one slip already: a point may not be missing too.
    places = range(3 if number > 0 else 1)
    exact = exact.quantize(Decimal(1)) if exact == exact.to_integral_value() else exact
    candidates = (exact.scaleb(-place) for place in places)
    return next((f"{candidate:f}" for candidate in candidates if 2 <= candidate <= 13), None)


def without_unit(text: str, amount: Spoken, kinds: tuple[Kind, ...]) -> Refusal:
    """Refuse a number that needs a unit and has none.

    Parameters
    ----------
    text : str
        What was typed.
    amount : Spoken
        What was read of it.
    kinds : tuple of Kind
        What is wanted.

    Returns
    -------
    Refusal
        The sentence.

    Examples
    --------
    >>> print(without_unit("21", Spoken(21.0, "", False), ("temperature",)))
    `21` could be 21 degrees Celsius or Fahrenheit, and 21 F is -6.1 C: write `21 C` or `21 F`.
    """
    shown, number = quoted(text), tidy(text)
    if kinds[0] == "temperature":
        celsius = (amount.number - 32) / 1.8
        return Refusal(
            f"{shown} could be {number} degrees Celsius or Fahrenheit, and {number} F is {celsius:.1f} C: "
            f"write {quoted(f'{number} C')} or {quoted(f'{number} F')}."
        )
    unit = KINDS[kinds[0]].example.partition(" ")[2]
    if amount.number >= 10:
        unit = _SMALLER.get(kinds[0], unit)
    other = ", or say that the meter shows pH" if kinds[0] == "potential" else ""
    return Refusal(
        f"{shown} has no unit where {wanted(kinds)} is wanted: "
        f"write for instance {quoted(f'{number} {unit}')}{other}."
    )


def wrong_unit(text: str, amount: Spoken, key: str, kinds: tuple[Kind, ...]) -> Refusal:
    """Refuse a unit that has two meanings, belongs to another kind of amount, or is not known.

    Parameters
    ----------
    text : str
        What was typed.
    amount : Spoken
        What was read of it.
    key : str
        The spelling of its unit, plain.
    kinds : tuple of Kind
        What is wanted.

    Returns
    -------
    Refusal
        The sentence.

    Examples
    --------
    >>> print(wrong_unit("60 g", Spoken(60.0, "g", False), "g", ("volume",)))
    `60 g` is a mass where a volume is wanted: write for instance `1/2 cup`.
    """
    shown = quoted(text)
    number = tidy(text).removesuffix(amount.unit).strip()
    if key in _OUNCES:
        grams = Quantity(amount.number, "ounce").to("g").magnitude
        millilitres = Quantity(amount.number, "fluid_ounce").to("mL").magnitude
        return Refusal(
            f"{shown} could be {number} ounces by weight ({grams:.4g} g) or {number} fluid ounces "
            f"({millilitres:.4g} mL), which differ about fourfold for a light mix (0.25 g/mL) and by 4 % for "
            f"water: write {quoted(f'{number} oz wt')} or {quoted(f'{number} fl oz')}."
        )
    if key == "t" and "volume" in kinds:
        return Refusal(
            f"{shown} could be teaspoons or tablespoons, three times as much: "
            f"write {quoted(f'{number} tsp')} or {quoted(f'{number} tbsp')}."
        )
    if kinds[0] == "ph" and (meant := _letters_for_digits(tidy(text))):
        return Refusal(f"{shown} is no number; did you mean {meant}?")
    for other, about in KINDS.items():
        if key in units_of(other):
            hint = {("potential", "ph"): "mV", ("ph", "potential"): "pH"}.get((other, kinds[0]))
            doubt = f", or say that the meter shows {hint}" if hint else ""
            return Refusal(
                f"{shown} is {about.name} where {wanted(kinds)} is wanted: "
                f"write for instance {example(kinds)}{doubt}."
            )
    near = _near(key, kinds)
    right = f"did you mean {quoted(f'{number} {near}')}?" if near else f"write for instance {example(kinds)}."
    return Refusal(f"{shown} has a unit that is not known here: {right}")


def _letters_for_digits(text: str) -> str | None:
    """Give the number that was meant where a letter stands for a digit that looks like it: 5.6o for 5.60."""
    meant = text.translate(_LOOKS_LIKE)
    return meant if meant != text and re.fullmatch(r"[-+]?\d+[.,]\d+|\d+", meant) else None


def _near(key: str, kinds: tuple[Kind, ...]) -> str | None:
    known = [word for kind in kinds for word in units_of(kind)]
    whole = [word for word in known if key.startswith(f"{word} ")]
    if whole:
        return max(whole, key=len)
    return next(iter(get_close_matches(key, known, n=1, cutoff=0.6)), None)


def within(number: float, kind: Kind, given: object) -> float:
    """Let through only what can be meant.

    Parameters
    ----------
    number : float
        An amount. [canonical unit of its kind]
    kind : Kind
        Its kind.
    given : object
        What was given, for the sentence.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    Refusal
        If it is not finite, or beyond what can be meant by such an amount.

    Examples
    --------
    >>> within(5.41, "ph", "5.41")
    5.41
    >>> within(403.0, "ph", "403")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `403` is no pH, which runs from 0 to 14: did you mean `4.03`?
    """
    shown, about, right = quoted(given), KINDS[kind], example((kind,))
    if not math.isfinite(number):
        raise Refusal(f"{shown} is not finite where {about.name} is wanted: write for instance {right}.")
    if about.low <= number <= about.high:
        return number + 0.0  # a minus before zero means nothing
    if kind == "ph":
        meant = ph_slip(number)
        # Meters show tenths of a millivolt, and either sign.
        volts = number < 0 or number != int(number)
        if meant:
            slip = f"did you mean {quoted(meant)}{', or does the meter show mV' if volts else ''}?"
        else:
            slip = f"write for instance {right}{', or say that the meter shows mV' if volts else ''}."
        raise Refusal(f"{shown} is no pH, which runs from 0 to 14: {slip}")
    if number < about.low == 0:
        raise Refusal(f"{shown} is negative, which {about.name} cannot be: write for instance {right}.")
    side, limit = ("below", about.low) if number < about.low else ("beyond", about.high)
    raise Refusal(
        f"{shown} is {side} any {about.name.partition(' ')[2]} that is meant here "
        f"({limit:.12g}{' ' if about.canonical else ''}{about.canonical}): write for instance {right}."
    )
