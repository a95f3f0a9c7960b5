"""What a record holds for the model of its bed: bench days, exchanges, trials, unknown steps, new bottles."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from math import fsum, isfinite
from typing import TypeAlias

from slurrycalc.data.assumed import NEW_BOTTLES
from slurrycalc.metrology.remark import Refusal


@dataclass(frozen=True, slots=True)
class DayMean:
    """A bench day of a bed."""

    day: date
    mean: float
    """Of the day's jars. [pH]"""
    jars: int
    squares: float
    """Sum of squares of the jars about their mean. [pH^2]"""
    u: float
    """Standard uncertainty of what that day's calibration adds of its own. [pH]"""

    def __post_init__(self) -> None:
        if self.jars < 1:
            raise Refusal(f"`{self.jars}` jars make no bench day; leave the day away, or give 1 or more.")
        _possible(self.mean, "mean pH of a bench day", -2.0, 16.0)
        _possible(self.squares, "sum of squares within a day", 0.0)
        _possible(self.u, "standard uncertainty of a day's calibration", 0.0)


@dataclass(frozen=True, slots=True)
class Replaced:
    """An exchange: a part of the bed was replaced by fresh mix."""

    day: date
    fraction: float | None = None
    """Part of the volume; None where it is not on record. [1]"""
    mix: float | None = None
    """pH of the mix as measured; None where it is not on record. [pH]"""
    u_mix: float = 0.0
    """Its standard uncertainty, without what all readings share. [pH]"""

    def __post_init__(self) -> None:
        if self.fraction is not None:
            _possible(self.fraction, "part of a bed that is exchanged", 0.0, 1.0)
        if self.mix is not None:
            _possible(self.mix, "pH of a fresh mix", -2.0, 16.0)
        _possible(self.u_mix, "standard uncertainty of a fresh mix", 0.0)


@dataclass(frozen=True, slots=True)
class Disturbed:
    """Another event that moves the level by an unknown step: calcium, charcoal, a new mix."""

    day: date
    name: str


@dataclass(frozen=True, slots=True)
class NewBench:
    """New bottles, or a new electrode: the level as it is measured moves by an unknown amount."""

    day: date
    u: float = NEW_BOTTLES.value
    """Its standard uncertainty. [pH]"""

    def __post_init__(self) -> None:
        _possible(self.u, "standard uncertainty of new bottles", 0.0)


@dataclass(frozen=True, slots=True)
class RatioTried:
    """What a trial in jars says of r: the capacity of fresh mix over that of the bed as it was that day."""

    day: date
    log_ratio: float
    """ln r. [1]"""
    u: float
    """Its standard uncertainty. [1]"""

    def __post_init__(self) -> None:
        _possible(self.log_ratio, "logarithm of a buffering ratio", -4.0, 4.0)
        _possible(self.u, "standard uncertainty of a buffering ratio's logarithm", 0.0)


Happening: TypeAlias = DayMean | Replaced | Disturbed | NewBench | RatioTried
"""What the model knows of one entry of the record."""


def day_mean(day: date, jars: Sequence[float], u: float) -> DayMean:
    """Put the jars of a bench day together.

    Parameters
    ----------
    day : date
    jars : sequence of float
        What each showed. [pH]
    u : float
        Standard uncertainty of what that day's calibration adds of its own. [pH]

    Returns
    -------
    DayMean

    Examples
    --------
    >>> found = day_mean(date(2026, 3, 1), [5.4, 5.6], 0.012)
    >>> found.mean, found.jars, round(found.squares, 6)
    (5.5, 2, 0.02)
    """
    if not jars:
        raise Refusal("a bench day without a jar is none; leave the day away, or give 1 or more.")
    mean = fsum(jars) / len(jars)
    return DayMean(day, mean, len(jars), fsum((each - mean) ** 2 for each in jars), u)


def counted(history: Iterable[Happening], switched_off: Collection[str] = ()) -> tuple[Happening, ...]:
    """Give what of a record teaches its bed, from the first reading on, in the order of the record.

    Parameters
    ----------
    history : iterable
        In order of days, and of the record within a day.
    switched_off : collection of str
        Names of events that the keeper says moved nothing.

    Returns
    -------
    tuple
        The first reading, the trials before it, and what followed. An exchange of nothing is left out.

    Raises
    ------
    Refusal
        If there is no reading, or a day lies before the one in front of it.
    """
    entries = [
        each
        for each in history
        if not (isinstance(each, Replaced) and each.fraction == 0.0)
        and not (isinstance(each, Disturbed) and each.name in switched_off)
    ]
    for one, other in pairwise(entries):
        if other.day < one.day:
            raise Refusal(f"`{other.day}` comes after {one.day} in this record: give its days in order.")
    first = next((i for i, each in enumerate(entries) if isinstance(each, DayMean)), None)
    if first is None:
        raise Refusal("this bed has no reading yet, so nothing can be said of it; read two jars first.")
    before = [each for each in entries[:first] if isinstance(each, RatioTried)]
    return (entries[first], *before, *entries[first + 1 :])


def _possible(x: float, what: str, low: float, high: float = float("inf")) -> None:
    if not (isfinite(x) and low <= x <= high):
        span = f"from {low:g}" if high == float("inf") else f"from {low:g} to {high:g}"
        raise Refusal(f"`{x:g}` cannot be the {what}; give a number {span}.")
