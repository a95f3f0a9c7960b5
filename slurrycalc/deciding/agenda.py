"""What a bed asks for before anything is tended: once, from what its months come to.

The order is that of need: the bench in doubt; below the floor; perhaps below it; below the range; above it; a
stage that is planned, or the turn of an upkeep; to be read again; then tending, bottles and probes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum
from typing import Final, Literal, NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import (
    COVERAGE,
    ENOUGH,
    EVEN_CHANCE,
    FLOOR_CHANCE,
    READ_AGAIN_SOONEST,
    STAGE_SPACING,
)
from slurrycalc.deciding.trend import LevelStep, ReadFirst
from slurrycalc.deciding.trend.through_time import EXCHANGE
from slurrycalc.measuring.wording import it_is, so_often
from slurrycalc.metrology.coverage import probability

Need = Literal["meter", "bench", "exchange", "exchange-stage", "upkeep", "mix-again", "retest"]


class Rank(IntEnum):
    """How much something matters, the most first."""

    BENCH = 0
    BELOW_FLOOR = 1
    PERHAPS_BELOW = 2
    BELOW_RANGE = 3
    ABOVE_RANGE = 4
    PLANNED = 5
    READ = 6
    TEND = 7


@dataclass(frozen=True)
class BedState:
    """What the months of a bed come to on a day."""

    below_floor: float
    """Chance that it lies below its floor. [1]"""
    below_range: float
    """[1]"""
    above_range: float
    """[1]"""
    doubt: Literal["meter", "bench"] | None = None
    """What put its last reading in doubt."""
    first: ReadFirst | None = None
    """Why it is not known where it stands."""
    surprise: bool = False
    """Whether its last reading is a surprise to the months before it."""
    odd_jar: bool = False
    """Whether one jar of its last reading lies by itself."""
    unread: bool = False
    """Whether a part of it was exchanged since it was read, though what that did is foreseen."""
    foretold: bool = False
    """Whether it asks for an exchange by its drift alone: when it was read last, it asked for none."""

    @classmethod
    def at(
        cls,
        level: UFloat,
        limits: tuple[float, float],
        floor: float,
        *,
        surprise: bool,
        odd_jar: bool = False,
        unread: bool = False,
        read: UFloat | None = None,
    ) -> BedState:
        """Hold a bed's level to its range and its floor, and its level when it was read last. [pH]."""
        low, high = limits
        then = None if read is None else cls.at(read, limits, floor, surprise=False)
        return cls(
            below_floor=probability(level, below=floor),
            below_range=probability(level, below=low),
            above_range=probability(level, above=high),
            surprise=surprise,
            odd_jar=odd_jar,
            unread=unread,
            foretold=then is not None and _placed(then).rank >= Rank.PLANNED,
        )

    @classmethod
    def doubted(cls, what: Literal["meter", "bench"]) -> BedState:
        """Say nothing of a bed whose last reading is in doubt, but what put it there."""
        return cls(0.0, 0.0, 0.0, doubt=what)


ITS_TURN: Final = "its turn after the last exchange is then"


class Asked(NamedTuple):
    """One thing that a bed asks for."""

    need: Need
    on: date
    rank: Rank
    why: str


SURE_OUTSIDE: Final = (1.0 - COVERAGE.value) / 2.0
"""Up to this chance to lie beyond an end of its range, no end of the interval of a bed's pH does. [1]"""
ITS_UPKEEP: Final = "the turn of its upkeep"
EXCHANGES: Final = ("exchange", "exchange-stage")
"""Needs of a plan of its own."""
COMES_OUT: Final = (*EXCHANGES, "upkeep")
"""Needs for which the bed comes out."""


def rested(steps: Iterable[LevelStep], today: date) -> date:
    """Give the first day, from one on, on which a bed may be exchanged again."""
    done = [step.on for step in steps if step.name == EXCHANGE and step.on <= today]
    return max([today, *(on + timedelta(days=STAGE_SPACING.value) for on in done)])


def read_for(turn: date, last: date | None) -> bool:
    """Tell whether a bed was read for the turn of its upkeep: a week before it at most, or since."""
    return last is not None and last >= turn - timedelta(days=READ_AGAIN_SOONEST.value)


def asked_by(
    state: BedState,
    today: date,
    stage: date | None = None,
    read: date | None = None,
    rests: date | None = None,
    *,
    upkeep: date | None = None,
) -> Asked | None:
    """Say what a bed asks for now, but for its day to be read again.

    Parameters
    ----------
    state : BedState
        As it is known on that day.
    today : date
        The day on which it is asked.
    stage : date, optional
        Of an exchange that is planned and not withdrawn.
    read : date, optional
        By which it is to be read again.
    rests : date, optional
        Until then it is not exchanged again; it may be on that day.
    upkeep : date, optional
        Turn of its upkeep, where it was read for it.

    Returns
    -------
    Asked or None
        What comes first, in place of the rest. None where it is only to be read on its day: before a stage
        that is planned for later, and where it is not known where the bed stands or what was done was not
        read yet; a stage waits for that.

    Examples
    --------
    >>> one = asked_by(BedState(0.001, 0.97, 0.0), date(2024, 5, 4))
    >>> one.need, one.why
    ('exchange', 'it is surely below its range')
    """
    if state.doubt is None and state.first is None and not state.unread:
        return _where_it_stands(state, today, stage, read, rests, upkeep=upkeep)
    if state.doubt is None:
        return None
    what = "the meter" if state.doubt == "meter" else "the steady jar"
    return Asked(state.doubt, today, Rank.BENCH, f"{what} puts its last reading in doubt")


def doubted_by(state: BedState) -> str:
    """Say of a bed that asks for nothing now how likely it is outside its range; nothing where it is not.

    Examples
    --------
    >>> [doubted_by(BedState(0.0, below, 0.0)) for below in (0.31, 0.04, 0.01)]
    ['3 in 10 that it is below its range', '4 in 100 that it is below its range', '']
    """
    side, p = max(("below", state.below_range), ("above", state.above_range), key=lambda each: each[1])
    if state.doubt is not None or state.first is not None or p <= SURE_OUTSIDE:
        return ""
    return f"{so_often(p)} that it is {side} its range"


def _where_it_stands(
    state: BedState,
    today: date,
    stage: date | None,
    read: date | None,
    rests: date | None,
    *,
    upkeep: date | None,
) -> Asked | None:
    """Say what a bed asks for whose pH is known."""
    rank, why = _placed(state)
    if state.odd_jar or state.surprise:
        odd = "one jar of its last reading lies by itself"
        said = odd if state.odd_jar else "its last reading is a surprise to the months before it"
        return Asked("mix-again", today, min(rank, Rank.READ), said)
    later = stage is not None and stage > today
    close = rank == Rank.PERHAPS_BELOW and state.below_range <= EVEN_CHANCE.value
    # Nobody digs by a forecast: where no reading asks for an exchange, the next one is to tell.
    foretold = state.foretold and rank <= Rank.PERHAPS_BELOW
    if (close or foretold) and (stage is None or later):
        return Asked("retest", today, rank, why if close else f"by its drift {why}")
    if stage is None and (rank >= Rank.PLANNED or state.foretold):
        turn = None if upkeep is None else max(upkeep, rests or today)
        said = "; ".join(filter(None, [ITS_UPKEEP, doubted_by(state)]))
        return None if turn is None else Asked("upkeep", turn, Rank.PLANNED, said)
    if stage is None:
        return _exchange(rank, why, today, rests or today)
    if later and read is not None and today < read < stage:
        return None
    planned = f"as planned; {why}" if why else "as planned"
    return Asked("exchange-stage", stage, min(rank, Rank.PLANNED), planned)


def _exchange(rank: Rank, why: str, today: date, rests: date) -> Asked:
    """Ask for an exchange, on its turn after the last one."""
    waits = rests > today
    return Asked("exchange", max(today, rests), rank, f"{why}; {ITS_TURN}" if waits else why)


class _Place(NamedTuple):
    """Where a bed stands, and in words."""

    rank: Rank
    why: str


def _placed(state: BedState) -> _Place:
    """Say where a bed stands, in the order of need."""
    if state.below_floor > FLOOR_CHANCE.value:
        rank = Rank.BELOW_FLOOR if state.below_floor >= COVERAGE.value else Rank.PERHAPS_BELOW
        return _Place(rank, it_is("below its floor", state.below_floor))
    if state.below_range > EVEN_CHANCE.value:
        return _Place(Rank.BELOW_RANGE, it_is("below its range", state.below_range))
    # What is too alkaline by a little harms nobody, and no mix brings it down for sure.
    if state.above_range >= ENOUGH.value:
        return _Place(Rank.ABOVE_RANGE, it_is("above its range", state.above_range))
    return _Place(Rank.READ, "")

