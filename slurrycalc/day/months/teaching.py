"""From an enclosure's bench days on record to the model of its bed."""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import hypot

import numpy as np
from uncertainties import UFloat

from slurrycalc.data.assumed import EXCHANGES_TAUGHT
from slurrycalc.deciding.bed import (
    Bed,
    DayMean,
    Disturbed,
    Happening,
    NewBench,
    Prior,
    RatioTried,
    Replaced,
    beds,
    level,
    next_reading,
    printed,
    rate,
)
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.deciding.trend.through_time import EXCHANGE
from slurrycalc.metrology.batch import Batch
from slurrycalc.metrology.uncertain import linear, rectangular


@dataclass(frozen=True, eq=False)
class Taught:
    """The bed of an enclosure as its record teaches it."""

    bed: Bed
    shared: UFloat
    """What its last bench day shares with others of bottles, junction and meter: nominally 0. [pH]"""
    own: float
    """Standard uncertainty of what that day's calibration adds of its own. [pH]"""

    @property
    def u_shared(self) -> float:
        """Standard uncertainty of what is shared. [pH]."""
        return float(self.shared.s)

    def level(self, day: datetime.date | None = None) -> UFloat:
        """Give its level on a day, the last by default, with what it shares with other enclosures. [pH]."""
        return printed(level(self.bed, day), self.shared)

    def rate(self, day: datetime.date | None = None) -> UFloat:
        """Give its rate on a day, the last by default. [pH/month]."""
        return printed(rate(self.bed, day))

    def reading(self, day: datetime.date, jars: int) -> UFloat:
        """Give what the mean of so many jars would read on a day. [pH]."""
        return printed(next_reading(self.bed, day, jars, self.own).expected, self.shared)


@dataclass(frozen=True, eq=False)
class Lessons:
    """What teaches a bed: its bench days, from the earliest on, and what was done between them."""

    days: tuple[datetime.date, ...]
    ph: Batch
    """The mean of each day's slurries, those of the same spots together as one; without the scatter that
    their difference showed, since the days show it again. [pH]"""
    slurries: tuple[int, ...]
    """Of each day."""
    squares: tuple[float, ...]
    """Sum of squares of each day's slurries about their mean. [pH^2]"""
    happened: tuple[Replaced | Disturbed, ...]
    """What shifted the level since the first of the days, in the order of the record."""
    tried: RatioTried | None
    """What a trial in jars tells of how the bed buffers."""
    odd: Mapping[datetime.date, float] = field(default_factory=dict, kw_only=True)
    """Days on which a jar lay by itself, and is left out; and how far it would move the mean. [pH]"""

    @property
    def last(self) -> datetime.date:
        """The last bench day."""
        return self.days[-1]

    @cached_property
    def steps(self) -> tuple[LevelStep, ...]:
        """What shifted the level, by name."""
        return tuple(
            LevelStep(each.day, _name(each), foreseen)
            for each, foreseen in zip(self.happened, self._foreseen(), strict=True)
        )

    def _foreseen(self) -> Iterator[bool]:
        """Tell of each that was done whether the record tells what it did before the bed is read."""
        known = [
            isinstance(each, Replaced) and each.fraction is not None and each.mix is not None
            for each in self.happened
        ]
        done = sorted(each.day for each, is_known in zip(self.happened, known, strict=True) if is_known)
        for each, is_known in zip(self.happened, known, strict=True):
            # A bench day counts as before what was done on it.
            read = {bisect_left(done, day) for day in self.days if day <= each.day}
            yield is_known and len(read - {0}) >= EXCHANGES_TAUGHT.value

    @cached_property
    def taught(self) -> Taught:
        """The bed that they teach."""
        return teach([self])[0]

    @cached_property
    def parts(self) -> DayParts:
        """What each day adds of its own, and what it shares with others."""
        return DayParts(self.ph)

    def history(self, without: Collection[str] = ()) -> tuple[Happening, ...]:
        """Put all of it in the order of days; on one day one reads first, and then acts."""
        parts, found = self.parts, list[Happening]()
        for i, day in enumerate(self.days):
            moved = parts.moved(i) if i else 0.0
            if moved:
                found.append(NewBench(day, moved))
            jars = self.slurries[i]
            squares = self.squares[i] if jars > 1 else 0.0
            # With that jar the day's mean lies anywhere up to so far away.
            u = hypot(float(parts.own[i]), rectangular(self.odd.get(day, 0.0)))
            found.append(DayMean(day, float(self.ph.values[i]), jars, squares, u))
        found += [each for each in self.happened if _name(each) not in without]
        if self.tried is not None:
            found.append(self.tried)
        return tuple(sorted(found, key=lambda each: each.day))


def _name(done: Replaced | Disturbed) -> str:
    return EXCHANGE if isinstance(done, Replaced) else done.name


def teach(
    several: Sequence[Lessons], prior: Prior | None = None, without: Collection[str] = ()
) -> list[Taught]:
    """Teach many beds side by side; each comes out as it would alone.

    Parameters
    ----------
    several : sequence of Lessons
        Each of one bench day at least.
    prior : Prior, optional
        What is expected before any reading.
    without : collection of str
        Names of what is left out, as if it had done nothing.

    Returns
    -------
    list of Taught
        In the same order.
    """
    found = beds([each.history(without) for each in several], prior)
    return [
        Taught(bed, each.parts.shared(-1), float(each.parts.own[-1]))
        for bed, each in zip(found, several, strict=True)
    ]


def teach_all(several: Iterable[Lessons]) -> None:
    """Teach beds side by side, so that each has its answer ready."""
    new = [each for each in several if "taught" not in each.__dict__]
    for each, taught in zip(new, teach(new), strict=True) if new else ():
        each.__dict__["taught"] = taught


class DayParts:
    """What each day's mean adds of its own, and what it shares with other days of the same bed.

    Parameters
    ----------
    ph : Batch
        A mean a day. [pH]
    """

    def __init__(self, ph: Batch) -> None:
        row, col, weight = ph.loadings
        self.inputs = ph.inputs
        self.moves = np.zeros((len(ph), len(ph.inputs)))
        np.add.at(self.moves, (row, col), weight)
        u = np.array([each.std_dev for each in ph.inputs])
        # An input is shared where it moves the mean of two days or more.
        self.lasting = (self.moves != 0.0).sum(axis=0) > 1
        alone = self.moves[:, ~self.lasting] * u[~self.lasting]
        self.own = np.sqrt(ph.own_u**2 + (alone**2).sum(axis=1))
        self.of_shared = self.moves[:, self.lasting] * u[self.lasting]

    def moved(self, i: int) -> float:
        """Give how far new bottles or a new electrode may have moved day i against the one before. [pH]."""
        now, before = self.of_shared[i], self.of_shared[i - 1]
        if ((now != 0.0) == (before != 0.0)).all():
            return 0.0
        return float(np.sqrt(((now - before) ** 2).sum()))

    def shared(self, i: int) -> UFloat:
        """Give what day i shares with other days, nominally 0. [pH]."""
        lasting = np.flatnonzero(self.lasting & (self.moves[i] != 0.0))
        return linear(0.0, {self.inputs[j]: float(self.moves[i, j]) for j in lasting})
