"""A setting in words: what is said of a thing, with its unit."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from typing import Any

from slurrycalc.logbook.things import sides_of
from slurrycalc.metrology.units.amounts import lengths

UNITS: Mapping[str, str] = {
    "target": "pH",
    "floor": "pH",
    "wanted": "pH",
    "size": "cm",
    "bed_depth": "cm",
    "resolution": "pH",
    "resolution_mV": "mV",
    "resolution_pH": "pH",
    "repeatability_mV": "mV",
    "repeatability_pH": "pH",
    "junction": "pH",
    "thermometer": "degC",
    "tolerance": "pH",
    "measured": "pH",
    "volume": "mL",
    "read_every": "d",
    "upkeep_every": "d",
    "litter_every": "d",
    "charcoal_every": "d",
    "check_every": "d",
}
"""Of settings that are numbers."""


def in_words(key: str, value: Any) -> str:
    """Write a setting with its unit.

    Examples
    --------
    >>> in_words("target", [5.4, 6.5]), in_words("size", [60.0, 45.0]), in_words("steady", True)
    ('pH 5.4 to 6.5', '60 x 45 cm', 'yes')
    >>> in_words("bed_depth", [10.16, "in"])
    '4 in'
    """
    if key in ("size", "bed_depth"):
        return lengths(*sides_of(value))
    unit = UNITS.get(key)
    if key == "stages":
        return ", ".join(f"{ceil(100.0 * part - 1e-6)} % on {day}" for day, part in value) or "done"
    if unit is None or isinstance(value, str):
        return spoken(value)
    value = " to ".join(f"{each:g}" for each in (value if isinstance(value, list) else [value]))
    return f"pH {value}" if unit == "pH" else f"{value} {unit}"


def spoken(value: Any) -> str:
    """Write a setting for a sentence.

    Examples
    --------
    >>> spoken([5.4, 6.5]), spoken(True), spoken(0.02)
    ('5.4 to 6.5', 'yes', '0.02')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " to ".join(spoken(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
