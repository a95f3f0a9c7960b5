"""Our own units: some fifty definitions, ready in milliseconds, and no cache file.

Exact by definition: the inch (2.54 cm), the avoirdupois pound (453.59237 g), the US gallon (231 cubic inches)
and its parts, the cup at 16 to the gallon among them [1]_ [2]_; the imperial gallon (4.54609 L) [1]_ and its
parts, 160 fluid ounces. An imperial cup of half a pint, a metric cup of 250 mL and spoons of 15 and 5 mL are
kitchen usage and no legal measure: common practice. A year has 365.25 days, the mean of the calendar's, and a
month a twelfth of them.

References
----------
.. [1] NIST Handbook 44, Appendix C, General Tables of Units of Measurement.
.. [2] NIST SP 430, Household Weights and Measures.
"""

from __future__ import annotations

from typing import Any, Final

import pint

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
month = 30.4375 * day
year = 12 * month
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
