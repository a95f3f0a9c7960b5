"""From an enclosure's bench days on record to the model of its bed."""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import hypot
from typing import Literal

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
    advanced,
    alike,
    all_after,
    all_printed,
    answers,
    beds,
    next_reading,
    printed,
)
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.deciding.trend.through_time import EXCHANGE
from slurrycalc.metrology.batch import Batch, Floats
from slurrycalc.metrology.uncertain import linear, rectangular

Answer = Literal["level", "rate"]


@dataclass(frozen=True, eq=False)
class Taught:
    """The bed of an enclosure as its record teaches it."""

    bed: Bed
    shared: UFloat
    """What its last bench day shares with others of bottles, junction and meter: nominally 0. [pH]"""
    own: float
    """Standard uncertainty of what that day's calibration adds of its own. [pH]"""
    before: Bed | None = None
    """As it was known before its last reading; None where that was the first."""
    _known: dict[tuple[Answer, datetime.date], UFloat] = field(default_factory=dict)
    """What was asked of it already: one physical thing is one variable."""

    @property
    def u_shared(self) -> float:
        """Standard uncertainty of what is shared. [pH]."""
        return float(self.shared.s)

    def level(self, day: datetime.date | None = None) -> UFloat:
        """Give its level on a day, the last by default, with what it shares with other enclosures. [pH]."""
        return self._answer("level", day)

    def rate(self, day: datetime.date | None = None) -> UFloat:
        """Give its rate on a day, the last by default. [pH/month]."""
        return self._answer("rate", day)

    def _answer(self, what: Answer, day: datetime.date | None) -> UFloat:
        on = day or self.bed.last
        if (what, on) not in self._known:
            foresee([self], what, on)
        return self._known[what, on]

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

    @property
    def last_mean(self) -> DayMean:
        """What it read."""
        last = self._read[-1]
        assert isinstance(last, DayMean)
        return last

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
        found = list(self._read)
        found += [each for each in self.happened if _name(each) not in without]
        if self.tried is not None:
            found.append(self.tried)
        return tuple(sorted(found, key=lambda each: each.day))

    @cached_property
    def _read(self) -> tuple[Happening, ...]:
        """What each day read, and that its bench was another than the day's before."""
        parts, found = self.parts, list[Happening]()
        read = (self.days, self.ph.values.tolist(), self.slurries, self.squares)
        beside = (parts.own.tolist(), parts.moved.tolist())
        for day, mean, jars, squares, own, moved in zip(*read, *beside, strict=True):
            if moved:
                found.append(NewBench(day, moved))
            # With that jar the day's mean lies anywhere up to so far away.
            u = hypot(own, rectangular(self.odd[day])) if day in self.odd else own
            found.append(DayMean(day, mean, jars, squares if jars > 1 else 0.0, u))
        return tuple(found)


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
    cuts = [_before_last(each.history(without)) for each in several]
    found = beds([earlier or last for earlier, last in cuts], prior)
    before = [bed if earlier else None for bed, (earlier, _) in zip(found, cuts, strict=True)]
    found = all_after(found, [last if earlier else () for earlier, last in cuts])
    return [
        Taught(bed, each.parts.shared(-1), float(each.parts.own[-1]), known)
        for bed, known, each in zip(found, before, several, strict=True)
    ]


def _before_last(history: Sequence[Happening]) -> tuple[Sequence[Happening], Sequence[Happening]]:
    """Part a record before its last reading; nothing lies before it where that was the first."""
    read = [i for i, each in enumerate(history) if isinstance(each, DayMean)]
    at = read[-1] if len(read) > 1 else 0
    return history[:at], history[at:]


def foresee(several: Sequence[Taught], what: Answer, day: datetime.date | None = None) -> None:
    """Find a level or rate of many beds side by side, on a day or on the last of each: each has it ready."""
    for some, nodes in alike([each.bed for each in several]):
        mine = [several[i] for i in some]
        days = [day or each.bed.last for each in mine]
        on = advanced(nodes, [each.bed.months(on) for each, on in zip(mine, days, strict=True)])
        of = answers.levels(on) if what == "level" else answers.rates(on)
        numbers = all_printed(of, [each.shared if what == "level" else 0.0 for each in mine])
        for each, when, number in zip(mine, days, numbers, strict=True):
            each._known.setdefault((what, when), number)


def teach_all(several: Iterable[Lessons]) -> None:
    """Teach beds side by side, so that each has its answer ready."""
    new = [each for each in several if "taught" not in each.__dict__]
    for each, taught in zip(new, teach(new), strict=True) if new else ():
        each.__dict__["taught"] = taught


class DayParts:
    """What each day's mean adds of its own, and what it shares with other days of the same bed. [pH]."""

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

    @property
    def moved(self) -> Floats:
        """How far new bottles or a new electrode may have moved each day against the one before. [pH]."""
        there, by = self.of_shared != 0.0, np.diff(self.of_shared, axis=0)
        others = (there[1:] != there[:-1]).any(axis=1)
        return np.concatenate([[0.0], np.where(others, np.sqrt((by**2).sum(axis=1)), 0.0)])

    def shared(self, i: int) -> UFloat:
        """Give what day i shares with other days, nominally 0. [pH]."""
        lasting = np.flatnonzero(self.lasting & (self.moves[i] != 0.0))
        return linear(0.0, {self.inputs[j]: float(self.moves[i, j]) for j in lasting})
