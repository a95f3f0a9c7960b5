"""Amounts as people say them, read by our own grammar into units of our own registry."""

from slurrycalc.metrology.units.grammar import split_amounts
from slurrycalc.metrology.units.kinds import Kind
from slurrycalc.metrology.units.kitchen import cup_size
from slurrycalc.metrology.units.parsing import magnitude, measured, parse, stated
from slurrycalc.metrology.units.registry import Quantity, registry

__all__ = [
    "Kind",
    "Quantity",
    "cup_size",
    "magnitude",
    "measured",
    "parse",
    "registry",
    "split_amounts",
    "stated",
]
