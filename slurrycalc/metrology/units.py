"""Amounts with units: our own registry, and the one door by which texts and foreign quantities come in.

Inside, functions take plain numbers in the canonical unit of each kind (mL, g, cm, degC, min, mV, uS/cm, pH,
g/mL); :func:`magnitude` makes them, once, from whatever was given.
"""

from __future__ import annotations

import math
from decimal import Decimal
from difflib import get_close_matches
from numbers import Real
from typing import Any, Final

import pint

from slurrycalc.metrology.grammar import Spoken, spoken, tidy
from slurrycalc.metrology.grammar import split_amounts as split_amounts
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.spellings import Kind as Kind
from slurrycalc.metrology.spellings import SPELLINGS, plain_spelling, units_of

# Exact by definition: the inch (2.54 cm), the avoirdupois pound (453.59237 g), the US gallon (231 cubic inches)
# and its parts, the cup at 16 to the gallon among them: NIST Handbook 44, Appendix C; NIST SP 430. The imperial
# gallon (4.54609 L) and its fluid ounce: the same appendix. An imperial cup of ten fluid ounces (half a pint), a
# metric cup of 250 mL and spoons of 15 and 5 mL are kitchen usage: common practice, no legal measure.
_DEFINITIONS = """
micro- = 1e-6 = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
deci- = 1e-1 = d-
kilo- = 1e3 = k-
meter = [length] = m = metre
gram = [mass] = g
second = [time] = s
ampere = [current] = A
kelvin = [temperature]; offset: 0 = K
pH = []
percent = 0.01
inch = 2.54 * centimeter = in
foot = 12 * inch = ft
minute = 60 * second = min
hour = 60 * minute = h
day = 24 * hour = d
week = 7 * day
degree_Celsius = kelvin; offset: 273.15 = degC = celsius
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF = fahrenheit
pound = 453.59237 * gram = lb
ounce = pound / 16 = oz
liter = 1e-3 * meter ** 3 = L = l = litre
cubic_meter = meter ** 3
cubic_inch = inch ** 3
cubic_foot = foot ** 3
us_gallon = 231 * inch ** 3 = gal = gallon
us_quart = us_gallon / 4 = qt = quart
us_pint = us_gallon / 8 = pt = pint
us_cup = us_gallon / 16 = cup = cup
us_fluid_ounce = us_gallon / 128 = fl_oz = fluid_ounce
us_tablespoon = us_gallon / 256 = tbsp = tablespoon
us_teaspoon = us_gallon / 768 = tsp = teaspoon
imperial_gallon = 4.54609 * liter
imperial_quart = imperial_gallon / 4
imperial_pint = imperial_gallon / 8
imperial_cup = imperial_gallon / 16
imperial_fluid_ounce = imperial_gallon / 160
metric_cup = 250 * milliliter
metric_tablespoon = 15 * milliliter
metric_teaspoon = 5 * milliliter
volt = kilogram * meter ** 2 / second ** 3 / ampere = V
siemens = ampere / volt = S
"""


def _registry() -> pint.UnitRegistry[Any]:
    made: pint.UnitRegistry[Any] = pint.UnitRegistry(None, cache_folder=None)
    made.load_definitions(_DEFINITIONS.strip().splitlines())
    return made


registry: Final = _registry()
"""The units of this package. It has no cache file, and knows nothing but the definitions above."""

Quantity = registry.Quantity
"""A number with a unit of :data:`registry`."""

CANONICAL: Final[dict[Kind, str]] = {
    "volume": "mL",
    "mass": "g",
    "length": "cm",
    "temperature": "degC",
    "duration": "minute",
    "potential": "mV",
    "conductivity": "uS/cm",
    "ph": "pH",
    "density": "g/mL",
    "number": "",
}
"""The unit in which each kind of amount travels inside."""

_NAMES: Final[dict[Kind, str]] = {
    "volume": "a volume",
    "mass": "a mass",
    "length": "a length",
    "temperature": "a temperature",
    "duration": "a duration",
    "potential": "a potential",
    "conductivity": "a conductivity",
    "ph": "a pH",
    "density": "a bulk density",
    "number": "a plain number",
}
_EXAMPLES: Final[dict[Kind, str]] = {
    "volume": "1/2 cup",
    "mass": "60 g",
    "length": "10 cm",
    "temperature": "21 C",
    "duration": "30 min",
    "potential": "84.3 mV",
    "conductivity": "1.413 mS/cm",
    "ph": "5.41",
    "density": "0.25 g/mL",
    "number": "2",
}
# Lowest and highest amount that can be meant, canonical units: our own limits, wide, against slips and misreadings.
_LIMITS: Final[dict[Kind, tuple[float, float]]] = {
    "volume": (0.0, 1e7),
    "mass": (0.0, 1e7),
    "length": (0.0, 1e4),
    "temperature": (-90.0, 150.0),
    "duration": (0.0, 60.0 * 24 * 36525),
    "potential": (-1e5, 1e5),
    "conductivity": (0.0, 1e6),
    "ph": (0.0, 14.0),
    "density": (0.0, 25.0),
    "number": (-1e9, 1e9),
}
_FRACTIONS: Final = ("volume", "mass", "length", "duration", "number")

_MEASURES: Final[dict[str, dict[str, str]]] = {
    "us": {},
    "metric": {"cup": "metric_cup", "tablespoon": "metric_tablespoon", "teaspoon": "metric_teaspoon"},
    "imperial": {
        "cup": "imperial_cup",
        "fluid_ounce": "imperial_fluid_ounce",
        "pint": "imperial_pint",
        "quart": "imperial_quart",
        "gallon": "imperial_gallon",
        "tablespoon": "metric_tablespoon",
        "teaspoon": "metric_teaspoon",
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
        ``"imperial"`` (cup of ten imperial fluid ounces, imperial fluid ounces, pints, quarts and gallons, spoons
        of 15 and 5 mL); or the size of a cup, ``"240 mL"``, the other measures being the US ones.
    bare : str, optional
        The unit that a number without a unit has, where a column or a question has already said it. Without it
        only a pH and a plain number may stand alone.

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
    .. [1] NIST Handbook 44, Appendix C, and NIST SP 430, Household Weights and Measures: sizes of the US cup, spoons,
       fluid ounce, pint, quart, gallon, ounce and pound.

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
    slurrycalc.metrology.remark.Refusal: `4 oz` could be 4 ounces by weight (113.4 g) or 4 fluid ounces (118.3 mL), which
    for a light mix (0.25 g/mL) differ about fourfold and for water by 4 %: write `4 oz wt` or `4 fl oz`.
    """
    return _parse(text, (kind,) if isinstance(kind, str) else kind, cup, bare)[1]


def magnitude(
    value: float | str | pint.Quantity[Any], kind: Kind, *, cup: str = "us", bare: str | None = None
) -> float:
    """Bring an amount in by the door: a plain number in the canonical unit.

    Parameters
    ----------
    value : float, str or pint.Quantity
        A number already in the canonical unit, a text for :func:`parse`, or a quantity of any pint registry.
    kind : Kind
        What is wanted. Canonical units: volume [mL], mass [g], length [cm], temperature [degC], duration [min],
        potential [mV], conductivity [uS/cm], ph [pH], density [g/mL], number [1].
    cup : str
        Whose cup is meant, as in :func:`parse`.
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
    >>> magnitude("4 fl oz", "volume") == magnitude("1/2 cup", "volume")
    True
    >>> magnitude(84.3, "potential"), magnitude("84.3mV", "potential")
    (84.3, 84.3)
    >>> magnitude("403", "ph")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `403` is no pH, which runs from 0 to 14: did you mean `4.03`?
    """
    return measured(value, (kind,), cup=cup, bare=bare)[1]


def measured(
    value: float | str | pint.Quantity[Any], kinds: tuple[Kind, ...], *, cup: str = "us", bare: str | None = None
) -> tuple[Kind, float]:
    """Bring in an amount that may be of several kinds, and say which it was.

    Parameters
    ----------
    value : float, str or pint.Quantity
        As in :func:`magnitude`; a plain number is of the first kind.
    kinds : tuple of Kind
        What is wanted.
    cup : str
        Whose cup is meant, as in :func:`parse`.
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
        kind, quantity = _parse(value, kinds, cup, bare)
        return kind, _within(float(quantity.to(CANONICAL[kind]).magnitude), kind, value)
    if isinstance(value, pint.Quantity):
        return _foreign(value, kinds)
    if isinstance(value, bool) or not isinstance(value, Real):
        raise Refusal(f"{quoted(value)} is not {_wanted(kinds)}: give for instance {_example(kinds[0])}.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    return kinds[0], _within(number, kinds[0], value)


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
    name = cup.strip().casefold()
    if name in _MEASURES:
        return float(Quantity(1.0, _MEASURES[name].get("cup", "us_cup")).to("mL").magnitude)
    try:
        size = magnitude(cup, "volume")
    except Refusal:
        size = math.nan
    if not _CUP_LIMITS[0] <= size <= _CUP_LIMITS[1]:
        raise Refusal(f"{quoted(cup)} is no kitchen cup: write `us`, `metric`, `imperial` or a size like `240 mL`.")
    return size


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
    exact = exact.quantize(Decimal(1)) if exact == exact.to_integral_value() else exact
    for places in (0, 1, 2):
        candidate = exact.scaleb(-places)
        if 2 <= candidate <= 13:
            return f"{candidate:f}"
    return None


def _parse(text: str, kinds: tuple[Kind, ...], cup: str, bare: str | None) -> tuple[Kind, pint.Quantity[float]]:
    said, words = text.strip(), ""
    if said[:2].casefold() == "ph" and {"ph", "potential"} & set(kinds):
        said, words = said[2:].lstrip(" :="), "ph"
    try:
        amount = spoken(said, _EXAMPLES[kinds[0]])
    except Refusal as refusal:
        if not words:
            raise
        raise Refusal(f"{quoted(text)} is no pH that can be read: write for instance `5.41` or `pH 5.41`.") from refusal
    kind, unit = _unit(text, amount, amount.unit or words, kinds, bare)
    if amount.fraction and kind not in _FRACTIONS:
        raise Refusal(
            f"{quoted(text)} is a fraction where {_NAMES[kind]} is wanted: write for instance {_example(kind)}."
        )
    return kind, _sized(amount.number, unit, cup)


def _sized(number: float, unit: str, cup: str) -> pint.Quantity[float]:
    """Give a number its unit, in the kitchen measures that are meant."""
    own = _MEASURES.get(cup.strip().casefold())
    if own is None or unit == "g/cup":
        size = cup_size(cup)
        if unit == "cup":
            return Quantity(number * size, "mL")
        if unit == "g/cup":
            return Quantity(number / size, "g/mL")
    return Quantity(number, (own or {}).get(unit, unit))


def _unit(text: str, amount: Spoken, words: str, kinds: tuple[Kind, ...], bare: str | None) -> tuple[Kind, str]:
    """Find the kind of amount and our unit that the words of a unit mean."""
    key = plain_spelling(words)
    if not key:
        if bare is not None:
            return kinds[0], bare
        if "ph" in kinds:
            return "ph", "pH"
        if "number" in kinds:
            return "number", ""
        raise _no_unit(text, amount.number, kinds)
    for kind in kinds:
        unit = units_of(kind).get(key)
        if unit is not None:
            return kind, unit
    raise _wrong_unit(text, amount, key, kinds)


def _no_unit(text: str, number: float, kinds: tuple[Kind, ...]) -> Refusal:
    shown, kind = quoted(text), kinds[0]
    if kind == "temperature":
        celsius = (number - 32) / 1.8
        return Refusal(
            f"{shown} could be {number:g} degrees Celsius or Fahrenheit ({number:g} F is {celsius:.1f} C): write "
            f"`{number:g}C` or `{number:g}F`."
        )
    if kind == "potential":
        return Refusal(
            f"{shown} has no unit where a potential is wanted: write `{number:g} mV`, or say that the meter shows pH."
        )
    return Refusal(
        f"{shown} has no unit where {_wanted(kinds)} is wanted: write for instance "
        f"`{number:g} {_EXAMPLES[kind].split()[-1]}`."
    )


def _wrong_unit(text: str, amount: Spoken, key: str, kinds: tuple[Kind, ...]) -> Refusal:
    shown, right = quoted(text), _example(kinds[0])
    number = tidy(text).removesuffix(amount.unit).strip()
    if key in ("oz", "ozs", "ounce", "ounces"):
        grams = Quantity(amount.number, "ounce").to("g").magnitude
        millilitres = Quantity(amount.number, "fluid_ounce").to("mL").magnitude
        return Refusal(
            f"{shown} could be {number} ounces by weight ({grams:.4g} g) or {number} fluid ounces "
            f"({millilitres:.4g} mL), which for a light mix (0.25 g/mL) differ about fourfold and for water by 4 %: "
            f"write `{number} oz wt` or `{number} fl oz`."
        )
    if key == "t" and "volume" in kinds:
        return Refusal(
            f"{shown} could be teaspoons or tablespoons, three times as much: write `{number} tsp` or `{number} tbsp`."
        )
    for other in SPELLINGS:
        if key in units_of(other):
            hint = ", or say that the meter shows mV" if (other, kinds[0]) == ("potential", "ph") else ""
            hint = ", or say that the meter shows pH" if (other, kinds[0]) == ("ph", "potential") else hint
            return Refusal(
                f"{shown} is {_NAMES[other]} where {_wanted(kinds)} is wanted: write for instance {right}{hint}."
            )
    near = _near(key, kinds)
    if near is not None:
        return Refusal(f"{shown} has a unit that is not known here: did you mean {quoted(f'{number} {near}')}?")
    return Refusal(f"{shown} has a unit that is not known here: write for instance {right}.")


def _near(key: str, kinds: tuple[Kind, ...]) -> str | None:
    known = [word for kind in kinds for word in units_of(kind) if len(word) > 1]
    whole = [word for word in known if key.startswith(f"{word} ")]
    if whole:
        return max(whole, key=len)
    return next(iter(get_close_matches(key, known, n=1, cutoff=0.6)), None)


def _foreign(value: pint.Quantity[Any], kinds: tuple[Kind, ...]) -> tuple[Kind, float]:
    for kind in kinds:
        try:
            # A foreign registry need not know our name for a pH: there it is a number without a dimension.
            converted = value.to("" if kind == "ph" else CANONICAL[kind].replace("uS", "microsiemens"))
            number = float(converted.magnitude)
        except (pint.PintError, TypeError, ValueError, AttributeError):
            continue
        return kind, _within(number, kind, value)
    raise Refusal(f"{quoted(value)} is not {_wanted(kinds)}: give for instance {_example(kinds[0])}.")


def _within(number: float, kind: Kind, given: object) -> float:
    """Refuse what cannot be meant."""
    shown, name = quoted(given), _NAMES[kind]
    low, high = _LIMITS[kind]
    if not math.isfinite(number):
        raise Refusal(f"{shown} is not a finite number where {name} is wanted: give for instance {_example(kind)}.")
    if low <= number <= high:
        return number
    if kind == "ph":
        meant = ph_slip(number)
        slip = f"did you mean `{meant}`?" if meant else "write for instance `5.41`."
        raise Refusal(f"{shown} is no pH, which runs from 0 to 14: {slip}")
    if number < low == 0:
        raise Refusal(f"{shown} is negative, which {name} cannot be: write for instance {_example(kind)}.")
    limit = f"{low if number < low else high:g} {CANONICAL[kind]}".strip()
    raise Refusal(
        f"{shown} is {'below' if number < low else 'beyond'} any {name.removeprefix('a ')} meant here ({limit}): "
        f"write for instance {_example(kind)}."
    )


def _example(kind: Kind) -> str:
    return quoted(_EXAMPLES[kind])


def _wanted(kinds: tuple[Kind, ...]) -> str:
    return " or ".join(_NAMES[kind] for kind in kinds)
