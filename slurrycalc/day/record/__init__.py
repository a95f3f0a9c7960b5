"""A computed step and the record: what it takes from the past, and what it will add."""

from slurrycalc.day.record.keeper import Keeper

__all__ = ["Keeper"]
