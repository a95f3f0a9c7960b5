"""The loop: keepers who do what each answer says for five years, in worlds whose truth is known.

Run ``python tests/worlds/loop.py`` for the table; ``--beds`` sets how many beds a world has, ``--seed`` draws
others, ``--worlds`` names some. The keeper reads when told; where an exchange is asked for, exchanges the
least that serves, at most a third at a time; reads a week later, and once two exchanges were read when the
bed asks for it, within 75 days; goes on with the stages that are left, four weeks apart, until it is enough.
Beside it: one who knows the truth and exchanges when the range is left; and two habits, a third every half
year and nothing.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import beta

from slurrycalc.data.assumed import (
    AFTER_EXCHANGE,
    ENOUGH,
    EXCHANGES_TAUGHT,
    FIRST_RETEST,
    FLOOR_CHANCE,
    FORESEEN_RETEST,
    MOST_AT_ONCE,
    READ_AGAIN_CHANCE,
    READ_AGAIN_LATEST,
    STAGE_SPACING,
    WANTED_ROOM,
    Assumed,
)
from slurrycalc.deciding.bed import (
    Bound,
    Mix,
    Nodes,
    Prior,
    advanced,
    bench_moved,
    exchanged,
    levels,
    observed,
    parts_to_reach,
    past,
    rates,
    read_again_months,
    unread,
)
from slurrycalc.deciding.days import DAYS_PER_MONTH, months_on
from slurrycalc.deciding.exchange.stages import stage_part, stages_needed
from tests.worlds.bed_worlds import BOTTLES, BOTTLES_EVERY, CALIBRATION, JARS, SHARED
from tests.worlds.loop_truth import DAYS, FLOOR, HIGH, LOW, MIX_READ, WORLDS, Floats, Ints, Truth, World

CHUNK = 25
BOUND: Bound = ("floor", FLOOR)
HALF_YEAR = 182
MIDDLE = (LOW + HIGH) / 2.0
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Rules:
    """What the answers rest on, where it is tried otherwise than the product has it."""

    prior: Prior = field(default_factory=Prior)
    chance: float = READ_AGAIN_CHANCE.value
    """To be below the floor, at which a bed is read again. [1]"""
    outside: float = 0.5
    """An exchange is asked for where the bed lies outside its range with more than this chance."""
    months: float = WANTED_ROOM.value
    """Months of drift for which there is room above the end of the range."""
    taught: float = EXCHANGES_TAUGHT.value
    """So many readings after exchanges, and the next exchange is foreseen."""


@dataclass
class Kept:
    """What came of a keeper's beds."""

    beds: int = 0
    unseen: int = 0
    """Beds truly below the floor while the last answer gave 5 in 100 or less for it."""
    broken: int = 0
    """Beds ever truly below the floor."""
    readings: int = 0
    substrate: float = 0.0
    """Beds of fresh mix, all together."""

    @property
    def a_year(self) -> float:
        """Readings of a bed in a year."""
        return self.readings / self.beds / 5.0

    def bound(self, count: int) -> float:
        """Upper end of the 95 % interval of a share of beds (Clopper and Pearson 1934, from memory)."""
        return 1.0 if count == self.beds else float(beta.ppf(0.975, count + 1, self.beds - count))

    def row(self, places: int = 3) -> list[str]:
        """Write what came of it: passed unseen with its bound, broken, substrate, readings a year."""
        share = f"{self.unseen / self.beds:.{places}f} (to {self.bound(self.unseen):.{places}f})"
        broken = f"{self.broken / self.beds:.{places}f}"
        return [share, broken, f"{self.substrate / self.beds:.2f}", f"{self.a_year:.1f}"]

    def __iadd__(self, other: Kept) -> Kept:
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)
        return self


@dataclass(frozen=True)
class Told:
    """What is said of beds on a bench day."""

    chance: Floats
    """That each lies below the floor. [1]"""
    asks: Flags
    """Whether an exchange is asked for."""
    least: Floats
    """The pH that an exchange then is for. [pH]"""
    wait: Ints
    """Until it is to be read again, if nothing is done. [d]"""


def told(nodes: Nodes, rules: Rules, u_shared: float = SHARED) -> Told:
    """Say what trend and exchange say of beds on a bench day."""
    level, least = levels(nodes, u_shared), wanted_of(nodes, rules.months)
    months = nodes.months + read_again_months(nodes, [BOUND], u_shared, rules.chance)
    days = np.ceil(months * DAYS_PER_MONTH - 1e-6) - np.round(nodes.months * DAYS_PER_MONTH)
    days = np.minimum(days, np.where(nodes.days < 2, *map(_days, (FIRST_RETEST, READ_AGAIN_LATEST))))
    return Told(
        level.below(FLOOR),
        np.asarray(level.below(LOW) > rules.outside),
        least,
        np.maximum(days, 1).astype(np.int64),
    )


def _days(months: Assumed) -> int:
    day = date(2026, 1, 1)
    return (months_on(day, months.value) - day).days


def wanted_of(nodes: Nodes, months: float) -> Floats:
    """The least that serves: the lower end of the range with room for the drift. [pH]."""
    room = np.ceil(np.maximum(-rates(nodes).centre(), 0.0) * months / 0.05 - 1e-9) * 0.05
    return np.minimum(np.round(LOW + room, 2), MIDDLE)


def some(nodes: Nodes, on: Flags) -> Nodes:
    """Take some beds out of a batch."""
    names = ["weight", "months", "days", "taught", "log_likelihood"]
    names += ["ratio", "kept", "capacity"] if len(nodes.ratio) == nodes.beds else []
    taken: dict[str, Any] = {name: getattr(nodes, name)[on] for name in names}
    return replace(nodes, moments=nodes.moments[:, on], **taken)


def parts(nodes: Nodes, wanted: Floats, mix: Floats, u_shared: float = SHARED) -> tuple[Floats, Floats]:
    """Give the part to exchange now at each bed, and how many stages there are in all; inf: a new bed."""
    fresh, most = Mix(mix, MIX_READ), MOST_AT_ONCE.value
    part = parts_to_reach(nodes, ("floor", wanted), fresh, p=0.95, u_shared=u_shared)  # type: ignore[arg-type]
    none = np.isnan(part)
    if none.any():
        some_mix = Mix(mix[none], MIX_READ)
        wants = ("floor", wanted[none])
        part[none] = parts_to_reach(some(nodes, none), wants, some_mix, p=0.5, u_shared=u_shared)  # type: ignore[arg-type]
    part = np.where(np.isnan(part), 1.0, part)
    count = [stages_needed(float(each), most) if each > 0.0 else 1.0 for each in part]
    each = [most if c == inf else stage_part(float(p), int(c)) for p, c in zip(part, count, strict=True)]
    return np.array(each), np.array(count)


class Turns:
    """What keepers know of their beds from one visit to the next, and what they do by it.

    A visit is a reading, after which one may act, or the turn of an exchange alone.
    """

    def __init__(self, beds: int, rules: Rules, u_shared: float = SHARED) -> None:
        self.rules, self.u_shared = rules, u_shared
        self.last, self.exchanged_on = np.zeros(beds, dtype=np.int64), np.full(beds, -1000)
        self.wanted, self.left = np.full(beds, LOW), np.zeros(beds)  # stages still to be done
        self.waits = np.zeros(beds, dtype=bool)  # for its turn after the last exchange
        self.taught = np.zeros(beds)  # readings after exchanges
        self.unread = np.zeros(beds, dtype=bool)  # exchanged since it was read

    def acts(self, nodes: Nodes, day: Ints, reads: Flags, open_ones: Flags) -> Flags:
        """Say of which beds a part is exchanged on a day."""
        self.last = np.where(reads, day, self.last)
        self.taught += reads & self.unread
        self.unread = self.unread & ~reads
        says, rested = self.told(nodes), day - self.exchanged_on >= STAGE_SPACING.value
        there = levels(nodes, self.u_shared).above(self.wanted) >= ENOUGH.value
        self.left = np.where(reads & there, 0.0, self.left)
        asks = open_ones & says.asks & (reads | self.waits)
        acts = rested & (asks | (open_ones & (self.left > 0) & ~self.unread))
        self.waits = asks & ~rested & (self.left == 0)
        self.wanted = np.where(acts & (self.left == 0), says.least, self.wanted)
        return np.asarray(acts)

    def parts(self, nodes: Nodes, acts: Flags, mix: Floats) -> tuple[Floats, Floats]:
        """Give the part to exchange now where one acts, and how many stages there are in all."""
        return parts(some(nodes, acts), self.wanted[acts], mix[acts], self.u_shared)

    def done(self, day: Ints, acts: Flags, now: Floats, count: Floats) -> None:
        """Take in what was exchanged."""
        self.left = np.where(acts, np.where(np.isfinite(count), count - 1.0, 1.0), self.left)
        self.exchanged_on = np.where(now > 0.0, day, self.exchanged_on)
        self.unread = self.unread | (now > 0.0)

    def next(self, nodes: Nodes, day: Ints) -> tuple[Ints, Flags]:
        """Give the day of the next visit, and whether it is a reading."""
        says = self.told(nodes)
        by = day + np.maximum(np.minimum(says.wait, self.last + _days(READ_AGAIN_LATEST) - day), 1)
        # An exchange that is foreseen is read when the bed asks for it, one that is not a week later.
        soonest = self.exchanged_on + round(AFTER_EXCHANGE.value)
        foreseen = np.clip(by, soonest, self.foreseen_by())
        after = np.where(self.taught >= self.rules.taught, foreseen, soonest)
        by = np.where(self.unread, after, by)
        # What was done is read before anything more is done.
        planned = ((self.left > 0) & ~self.unread) | self.waits
        turn = np.where(planned, self.exchanged_on + round(STAGE_SPACING.value), DAYS + 1000)
        # Where it may be below the floor and surely waits for its turn, another reading tells nothing.
        idle = planned & says.asks & (says.chance > FLOOR_CHANCE.value)
        reads = (by < turn) & ~idle
        return np.maximum(np.where(reads, by, turn), day + 1), np.asarray(reads)

    def foreseen_by(self) -> Ints:
        """Give the day by which an exchange that is foreseen is read at the latest."""
        return np.asarray(self.exchanged_on + round(FORESEEN_RETEST.value))

    def told(self, nodes: Nodes) -> Told:
        """Give what is said of the beds."""
        return told(nodes, self.rules, self.u_shared)


Watch = Callable[[Truth, Nodes, Turns, Ints, Ints], None]
"""Called before each next visit with truth, beds as they are known, turns, this day and that of the visit."""


def to_the_letter(world: World, beds: int, seed: int, rules: Rules | None = None) -> Kept:
    """Keep beds as each answer says."""
    rules = rules or Rules()
    return kept_by(world, beds, seed, lambda n: Turns(n, rules))


def kept_by(
    world: World, beds: int, seed: int, turns: Callable[[int], Turns], watch: Watch | None = None
) -> Kept:
    """Keep beds by what their keepers go by."""
    kept = Kept()
    for part in range(0, beds, CHUNK):
        random = np.random.default_rng([seed, part])
        kept += _kept(Truth(world, random, CHUNK), turns(CHUNK), watch)
    return kept


def _kept(truth: Truth, turns: Turns, watch: Watch | None) -> Kept:
    n = truth.beds
    day, last = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)
    mean, squares = truth.read()
    nodes = observed(unread(mean, turns.rules.prior), mean, JARS, squares, CALIBRATION)
    readings, unseen = n, np.zeros(n, dtype=bool)
    shown = turns.told(nodes).chance > FLOOR_CHANCE.value
    reads, open_ones = np.ones(n, dtype=bool), np.ones(n, dtype=bool)
    while open_ones.any():
        acts = turns.acts(nodes, day, reads, open_ones)
        if acts.any():
            true, read = truth.mix()
            now, count = np.zeros(n), np.zeros(n)
            now[acts], count[acts] = turns.parts(nodes, acts, read)
            truth.exchange(now, true)
            nodes = exchanged(nodes, now, read, MIX_READ)
            turns.done(day, acts, now, count)
        due, reads = turns.next(nodes, day)
        due = np.where(open_ones, np.minimum(due, DAYS), day)
        if watch is not None:
            watch(truth, nodes, turns, day, due)
        low, _ = truth.on(due)
        unseen |= low & ~shown
        over = open_ones & (due >= DAYS)
        open_ones &= ~over
        reads &= open_ones
        nodes = advanced(nodes, due / DAYS_PER_MONTH)
        mean, squares = truth.read()
        fresh = np.floor(due / DAYS_PER_MONTH / BOTTLES_EVERY) > np.floor(
            last / DAYS_PER_MONTH / BOTTLES_EVERY
        )
        nodes = bench_moved(nodes, BOTTLES * (fresh & reads))
        nodes = observed(nodes, mean, JARS, squares, CALIBRATION, on=reads)
        shown = np.where(reads, past(nodes, BOUND, SHARED) > FLOOR_CHANCE.value, shown)
        readings += int(reads.sum())
        last = np.where(reads, due, last)
        day = due
    return Kept(n, int(unseen.sum()), int(truth.below.sum()), readings, float(truth.substrate.sum()))


def who_knows(world: World, beds: int, seed: int) -> Kept:
    """Keep beds as one who knows level, drift and mixing: to the range with half a year's room, when left."""
    return _blindly(world, beds, seed, _known)


def by_habit(world: World, beds: int, seed: int, part: float) -> Kept:
    """Exchange a part each half year, whatever the bed does."""
    return _blindly(world, beds, seed, lambda _, day: part if day and day % HALF_YEAR == 0 else 0.0)


def _known(truth: Truth, day: int) -> Floats:
    ahead = truth.natural[day : day + 183].sum(axis=0) / truth.capacity
    wanted = np.minimum(LOW - np.minimum(ahead, 0.0), MIDDLE)
    phi = np.clip((wanted - truth.level) / (6.6 - truth.level), 0.0, 0.99)
    before = np.where(truth.keeps, truth.capacity, 1.0)
    part = phi * before / (truth.ratio * (1.0 - phi) + phi * before)
    return np.where(truth.level < LOW, np.minimum(part, MOST_AT_ONCE.value), 0.0)


def _blindly(world: World, beds: int, seed: int, part_of: object) -> Kept:
    kept = Kept()
    for part in range(0, beds, CHUNK):
        truth = Truth(world, np.random.default_rng([seed, part]), CHUNK)
        for day in range(0, DAYS, 7):
            truth.on(np.full(CHUNK, day))
            now = np.broadcast_to(part_of(truth, day), CHUNK).astype(float)  # type: ignore[operator]
            if (now > 0.0).any():
                truth.exchange(now, truth.mix()[0])
        truth.on(np.full(CHUNK, DAYS))
        kept += Kept(CHUNK, 0, int(truth.below.sum()), 0, float(truth.substrate.sum()))
    return kept


def cells(name: str, beds: int, seed: int, rules: Rules | None = None) -> list[str]:
    """Write what came of a world: unseen, broken, substrate, readings; who knows; the two habits."""
    world = WORLDS[name]
    found = to_the_letter(world, beds, seed, rules)
    beside = [
        who_knows(world, beds, seed),
        by_habit(world, beds, seed, 1.0 / 3.0),
        by_habit(world, beds, seed, 0.0),
    ]
    return found.row() + [f"{each.broken / beds:.3f}, {each.substrate / beds:.2f}" for each in beside]


def print_rows(
    row: Callable[[str, int, int], list[str]], about: str | None, beds: int, seed: int, worlds: Iterable[str]
) -> None:
    """Print the rows of a table, as the command line asks."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--beds", type=int, default=beds)
    parser.add_argument("--seed", type=int, default=seed)
    parser.add_argument("--worlds", nargs="*", default=list(worlds))
    given = parser.parse_args()
    for name in given.worlds:
        print(f"| {name} | {' | '.join(row(name, given.beds, given.seed))} |", flush=True)


if __name__ == "__main__":
    print_rows(cells, __doc__, 200, 20262, WORLDS)
