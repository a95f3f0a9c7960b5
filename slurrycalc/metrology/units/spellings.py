"""How people spell units, and which of our own units each spelling means.

A spelling stands here as it is left when case, full stops and spaces around a stroke are taken out. ``oz``,
``t``, ``gr`` and ``ton`` are left out on purpose: each has two meanings in one kitchen; and so is ``c`` for a
cup, since ``C`` is a degree.
"""

from __future__ import annotations

from functools import cache
from typing import Final

from slurrycalc.metrology.units.kinds import Kind

SPELLINGS: Final[dict[Kind, dict[str, str]]] = {
    "volume": {
        "mL": "ml, mls, cc, cm3, cm^3, milliliter, milliliters, millilitre, millilitres",
        "cL": "cl, centiliter, centiliters, centilitre, centilitres",
        "dL": "dl, deciliter, deciliters, decilitre, decilitres",
        "L": "l, liter, liters, litre, litres, dm3, dm^3",
        "cubic_meter": "m3, m^3, cubic meter, cubic meters, cubic metre, cubic metres",
        "cup": "cup, cups",
        "us_cup": "us cup, us cups",
        "metric_cup": "metric cup, metric cups",
        "imperial_cup": "imperial cup, imperial cups, uk cup, uk cups",
        "tablespoon": "tbsp, tbsps, tbs, tbl, tblsp, tablespoon, tablespoons",
        "teaspoon": "tsp, tsps, teaspoon, teaspoons",
        "fluid_ounce": "fl oz, floz, fl ozs, fluid oz, fluid ounce, fluid ounces, fl ounce, fl ounces, "
        "oz by volume, oz vol, ounce by volume, ounces by volume",
        "us_fluid_ounce": "us fl oz, us fluid ounce, us fluid ounces",
        "imperial_fluid_ounce": "imperial fl oz, imp fl oz, uk fl oz, imperial fluid ounce, "
        "imperial fluid ounces",
        "pint": "pt, pts, pint, pints",
        "quart": "qt, qts, quart, quarts",
        "gallon": "gal, gals, gallon, gallons",
        "cubic_inch": "in3, in^3, cu in, cubic inch, cubic inches",
        "cubic_foot": "ft3, ft^3, cu ft, cubic foot, cubic feet",
    },
    "mass": {
        "mg": "mg, milligram, milligrams",
        "g": "g, gm, gms, gram, grams, gramme, grammes",
        "kg": "kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes",
        "ounce": "oz wt, oz weight, oz by weight, oz by wt, ozwt, wt oz, ounce wt, ounces wt, ounce weight, "
        "ounces weight, ounce by weight, ounces by weight, oz av, oz avdp",
        "pound": "lb, lbs, pound, pounds",
    },
    "length": {
        "mm": "mm, millimeter, millimeters, millimetre, millimetres",
        "cm": "cm, centimeter, centimeters, centimetre, centimetres",
        "m": "m, meter, meters, metre, metres",
        "inch": 'in, ", inch, inches',
        "foot": "ft, foot, feet",
    },
    "temperature": {
        "degC": "c, °c, ° c, degc, deg c, degree c, degrees c, celsius, °celsius, deg celsius, "
        "degree celsius, degrees celsius, centigrade, degrees centigrade",
        "degF": "f, °f, ° f, degf, deg f, degree f, degrees f, fahrenheit, °fahrenheit, deg fahrenheit, "
        "degree fahrenheit, degrees fahrenheit",
        "kelvin": "k, kelvin, kelvins",
    },
    "duration": {
        "second": "s, sec, secs, second, seconds",
        "minute": "min, mins, minute, minutes",
        "hour": "h, hr, hrs, hour, hours",
        "day": "d, day, days",
        "week": "wk, wks, week, weeks",
        "month": "month, months",
        "year": "yr, yrs, year, years",
    },
    "potential": {
        "uV": "uv, microvolt, microvolts",
        "mV": "mv, millivolt, millivolts",
        "V": "v, volt, volts",
    },
    "conductivity": {
        "uS/cm": "us/cm, microsiemens/cm, microsiemens/centimeter",
        "mS/cm": "ms/cm, millisiemens/cm, millisiemens/centimeter",
        "dS/m": "ds/m",
        "mS/m": "ms/m",
        "S/m": "s/m",
    },
    "ph": {"pH": "ph"},
    "density": {
        "g/mL": "g/ml, g/cc, g/cm3, g/cm^3, kg/l, kg/dm3, g/milliliter, g/millilitre",
        "g/L": "g/l, g/liter, g/litre, grams/liter, grams/litre, kg/m3, kg/m^3",
        "g/cup": "g/cup, grams/cup",
        "pound/cubic_foot": "lb/ft3, lbs/ft3, lb/cu ft, lbs/cu ft, pounds/cubic foot",
    },
    "number": {"percent": "%, percent, per cent, pct"},
}
"""For each kind of amount, our units and their spellings."""


@cache
def units_of(kind: Kind) -> dict[str, str]:
    """Give the unit that each spelling means where a kind of amount is wanted.

    Parameters
    ----------
    kind : Kind
        The kind that is wanted.

    Returns
    -------
    dict
        Spelling to unit. It is cached and shared: do not change it.

    Examples
    --------
    >>> units_of("volume")["tbsp"], units_of("temperature")["c"], "oz" in units_of("mass")
    ('tablespoon', 'degC', False)
    """
    return {word: unit for unit, words in SPELLINGS[kind].items() for word in words.split(", ")}


def plain_spelling(words: str) -> str:
    """Take out of a unit's spelling what makes no difference.

    Parameters
    ----------
    words : str
        The unit as it was typed, with plain characters.

    Returns
    -------
    str
        What :func:`units_of` has for a key, if it knows the unit.

    Examples
    --------
    >>> plain_spelling("Fl. Oz."), plain_spelling("g / mL"), plain_spelling("grams per litre")
    ('fl oz', 'g/ml', 'grams/litre')
    """
    lower = words.casefold().replace(".", " ").replace(" per ", "/")
    if lower.endswith(("%", "per cent")):
        return " ".join(lower.split())
    return "/".join(" ".join(part.split()) for part in lower.split("/"))
