"""Kinds of amount: their names, canonical units, and the range that can be meant."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

Kind = Literal[
    "volume",
    "mass",
    "length",
    "temperature",
    "duration",
    "potential",
    "conductivity",
    "ph",
    "density",
    "number",
]


class About(NamedTuple):
    """What there is to know of a kind of amount."""

    name: str
    """With its article, for sentences."""
    canonical: str
    """The unit in which it travels inside."""
    example: str
    """A right one."""
    low: float
    """Lowest that can be meant. [canonical unit]"""
    high: float
    """Highest that can be meant. [canonical unit]"""
    fraction: bool
    """Whether people write it as a fraction."""


# The limits are our own: wide, and only there to catch slips and misreadings.
KINDS: Final[dict[Kind, About]] = {
    "volume": About("a volume", "mL", "1/2 cup", 0.0, 1e7, True),
    "mass": About("a mass", "g", "60 g", 0.0, 1e7, True),
    "length": About("a length", "cm", "10 cm", 0.0, 1e4, True),
    "temperature": About("a temperature", "degC", "21 C", -90.0, 150.0, False),
    "duration": About("a duration", "minute", "30 min", 0.0, 5e7, True),
    "potential": About("a potential", "mV", "84.3 mV", -1e5, 1e5, False),
    "conductivity": About("a conductivity", "uS/cm", "1.413 mS/cm", 0.0, 1e6, False),
    "ph": About("a pH", "pH", "5.41", 0.0, 14.0, False),
    "density": About("a bulk density", "g/mL", "0.25 g/mL", 0.0, 25.0, False),
    "number": About("a plain number", "", "2", -1e9, 1e9, True),
}
