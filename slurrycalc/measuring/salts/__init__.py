"""Salts: the conductivity of slurries at 25 degC, by a meter that a standard has checked."""

from slurrycalc.measuring.salts.cell import Cell, cell_factor, standard_conductivity
from slurrycalc.measuring.salts.conductivity import ALLOWED, OtherUnit, conductivity, ec25, seen_to, spoken_ec
from slurrycalc.measuring.salts.enclosure import Salts, salts

__all__ = [
    "ALLOWED",
    "Cell",
    "OtherUnit",
    "Salts",
    "cell_factor",
    "conductivity",
    "ec25",
    "salts",
    "seen_to",
    "spoken_ec",
    "standard_conductivity",
]
