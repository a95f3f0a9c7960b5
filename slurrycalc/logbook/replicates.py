"""An enclosure's slurries of one day taken together, and what many such days say of their scatter."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any, NamedTuple, TypeVar

import numpy as np

from slurrycalc.logbook.calibrations import Place
from slurrycalc.logbook.readings import KeptReading, Readings
from slurrycalc.measuring.slurry.odd import Lonely, all_lonely, is_odd
from slurrycalc.metrology.batch import Floats, Indices
from slurrycalc.metrology.scatter import Scatter

MOST_IN_AN_ENTRY = 1 << 32


@dataclass(frozen=True)
class Replicates:
    """One enclosure's slurries of one day that were mixed alike."""

    enclosure: int | None
    day: str
    n: int
    """Independent slurries: those of the same spots count as one."""
    mean: float
    """[pH]"""
    rss: float
    """Sum of squares about the mean. [pH²]"""
    own_variance: float
    """Mean known variance of a single one, by sources that touch no other. [pH²]"""
    far: Lonely | None = None
    """The one that lies apart from the others, where one does: perhaps by chance."""
    far_jars: tuple[Place, ...] = ()
    """Its jars."""

    def is_odd(self, expected: Scatter) -> bool:
        """Tell whether one lies by itself by more than chance."""
        return is_odd(self.far, self.own_variance, expected)

    @property
    def without_far(self) -> Replicates:
        """The same day without it."""
        if self.far is None:
            return self
        return Replicates(
            self.enclosure, self.day, self.far.others, self.far.mean, self.far.rss, self.own_variance
        )


def replicates(readings: Readings) -> list[Replicates]:
    """Gather readings into days of replicate slurries.

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    list of Replicates
        In the order of time.
    """
    if not readings.rows:
        return []
    columns = dict(zip(KeptReading._fields, zip(*readings.rows, strict=True), strict=True))
    place = np.array(columns["slurry_entry"]) * MOST_IN_AN_ENTRY + np.array(columns["slurry_n"])
    jars_, first, jar = np.unique(place, return_index=True, return_inverse=True)
    mixed, _ = _numbered(list(zip(columns["ratio"], columns["basis"], columns["solution"], strict=True)))
    keys = [(columns["enclosure"][i], columns["day"][i], int(mixed[i])) for i in first.tolist()]
    spots_ = [columns["spot"][i] for i in first.tolist()]
    marks: list[Any] = [
        (key, spot.casefold()) if spot else i for i, (key, spot) in enumerate(zip(keys, spots_, strict=True))
    ]
    spot, spots = _numbered(marks)
    day, days = _numbered([keys[i] for i in _firsts(spot, len(spots))])
    values, variance = _means(jar, len(jars_), readings.batch.values, readings.batch.own_u**2)
    values, variance = _means(spot, len(spots), values, variance)
    count = np.bincount(day, minlength=len(days))
    mean = np.bincount(day, values, len(days)) / np.maximum(count, 1)
    rss = np.bincount(day, (values - mean[day]) ** 2, len(days))
    own = np.bincount(day, variance, len(days)) / np.maximum(count, 1)
    found = zip(days, count.tolist(), mean.tolist(), rss.tolist(), own.tolist(), strict=True)
    several = [Replicates(*key[:2], *rest) for key, *rest in found]
    apart = all_lonely(values, day, count)
    of_spot = _members(spot) if apart else None
    for i, far in apart:
        assert of_spot is not None
        places = tuple(readings.rows[first[k]].slurry for k in of_spot(i))
        several[day[i]] = replace(several[day[i]], far=far, far_jars=places)
    return several


Key = TypeVar("Key", bound=Hashable)


def _numbered(keys: Sequence[Key]) -> tuple[Indices, list[Key]]:
    """Give each key a number, in the order in which they first come."""
    numbers = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    return np.array([numbers[key] for key in keys], np.intp), list(numbers)


def _members(numbers: Indices) -> Callable[[int], Indices]:
    """Give what tells where a number comes, in rising order."""
    order = np.argsort(numbers, kind="stable")
    ends = np.cumsum(np.bincount(numbers))
    return lambda i: order[(ends[i - 1] if i else 0) : ends[i]]


def _firsts(numbers: Indices, count: int) -> list[int]:
    """Give where each number first comes."""
    first = np.empty(count, np.intp)
    first[numbers[::-1]] = np.arange(len(numbers))[::-1]
    return [int(i) for i in first]


def _means(group: Indices, count: int, values: Floats, variance: Floats) -> tuple[Floats, Floats]:
    """Give each group's mean and the variance of it."""
    n = np.maximum(np.bincount(group, minlength=count), 1)
    return np.bincount(group, values, count) / n, np.bincount(group, variance, count) / n**2


class Told(NamedTuple):
    """What days of replicates say of the scatter beyond their known uncertainties, added up."""

    dof: int = 0
    squares: float = 0.0
    """[pH²]"""
    days: int = 0
    """Those with more than one slurry."""

    @classmethod
    def by(cls, day: Replicates) -> Told:
        """Give what one day says."""
        if day.n < 2:
            return NOTHING_TOLD
        return cls(day.n - 1, day.rss - (day.n - 1) * day.own_variance, 1)

    def plus(self, other: Told) -> Told:
        """Add what other days say."""
        return Told(self.dof + other.dof, self.squares + other.squares, self.days + other.days)

    def less(self, other: Told) -> Told:
        """Leave out what some of the days say."""
        return Told(self.dof - other.dof, self.squares - other.squares, self.days - other.days)

    @property
    def scatter(self) -> Scatter | None:
        """Give the pooled scatter, None where nothing shows any."""
        return Scatter(sqrt(max(self.squares / self.dof, 0.0)), self.dof, "measured") if self.dof else None


NOTHING_TOLD = Told()
