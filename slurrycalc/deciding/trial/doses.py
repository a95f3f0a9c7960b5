"""The doses of a trial, taken in: in order, of one unit, and none beyond what there can be."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import isfinite
from typing import NamedTuple

from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units.grammar import spoken

PERCENT = "%"
_SAID = {"percent": PERCENT, "per cent": PERCENT, "pct": PERCENT}
_EXAMPLE = "10 %"
_LONGEST_UNIT = 20


class Doses(NamedTuple):
    """What went into the jars."""

    values: tuple[float, ...]
    """In the unit, rising or falling."""
    unit: str
    """As it was said; empty for bare numbers."""

    @property
    def words(self) -> str:
        """The unit with a space in front of it."""
        return f" {self.unit}" if self.unit else ""


def doses_of(given: Sequence[float | str], unit: str = "") -> Doses:
    """Take in the doses of a trial.

    Parameters
    ----------
    given : sequence of float or str
        One a jar, rising or falling, jars of one dose beside each other: ``[0, 10]``, ``["0 %", "10 %"]``.
    unit : str
        Of bare numbers. ``%`` means percent of fresh substrate by volume.

    Returns
    -------
    Doses

    Raises
    ------
    Refusal
        If there are fewer than two different ones, they go up and down, their units differ, or one cannot be.

    Examples
    --------
    >>> doses_of(["0 %", "10 %", "20 %"])
    Doses(values=(0.0, 10.0, 20.0), unit='%')
    >>> doses_of([0, 20, 10])
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: the doses `0, 20, 10` go up and down: give them in rising order, each
    with its pH, for instance 0, 10, 20.
    """
    many = listed(given)
    if many is None:
        raise Refusal("a trial takes two lists, such as trial([0, 10, 20], [5.1, 5.3, 5.5], 5.4).")
    said = [_one(each) for each in many]
    units = list(dict.fromkeys(each for _, each in said if each))
    unit = _plain(unit)
    if unit:
        units = list(dict.fromkeys([unit, *units]))
    if len(units) > 1:
        raise Refusal(
            f"doses in {quoted(units[0])} and in {quoted(units[1])} cannot be compared: give all in one unit."
        )
    found = Doses(tuple(value for value, _ in said), units[0] if units else "")
    shown = ", ".join(f"{value:g}" for value in found.values)
    if found.unit == PERCENT and max(found.values, default=0.0) > 100.0:
        raise Refusal(f"`{max(found.values):g} %` is more than the whole jar: give at most 100 %.")
    steps = [after - before for before, after in pairwise(found.values)]
    if any(step > 0.0 for step in steps) and any(step < 0.0 for step in steps):
        right = ", ".join(f"{value:g}" for value in sorted(found.values))
        raise Refusal(
            f"the doses {quoted(shown)} go up and down: give them in rising order, each with its pH, for "
            f"instance {right}."
        )
    if not any(steps):
        other = "0" if any(found.values) else "10"
        raise Refusal(
            "a trial needs jars of two different doses at least, and has "
            f"{quoted(shown) if said else 'none'}: add one, for instance {other}."
        )
    return found


def _one(given: float | str) -> tuple[float, str]:
    if isinstance(given, str):
        amount = spoken(given, _EXAMPLE)
        value, unit = amount.number, _plain(amount.unit)
    else:
        try:
            value, unit = float(given), ""
        except (TypeError, ValueError):
            raise Refusal(f"{quoted(given)} is no dose: write for instance `{_EXAMPLE}`.") from None
    if not (isfinite(value) and value >= 0.0):
        raise Refusal(f"{quoted(given)} is no dose, which is 0 or more: write for instance `{_EXAMPLE}`.")
    return value, unit


def _plain(unit: str) -> str:
    words = " ".join(unit.split())
    if not words.isprintable() or len(words) > _LONGEST_UNIT:
        raise Refusal(f"{quoted(unit)} is no unit of a dose: write for instance `%` or `g/L`.")
    return _SAID.get(words.casefold(), words)
