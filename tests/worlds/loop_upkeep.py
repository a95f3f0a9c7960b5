"""An upkeep in the loop: keepers who follow it beside the first tasks for five years.

Run ``python tests/worlds/loop_upkeep.py`` for the table; ``--beds`` sets how many beds a world has, and
``--seed`` draws others. Once an upkeep no longer says to wait, and the bed is in its range and surely
above its floor, its part is exchanged, and again three months after the last exchange, read within the week
before; where a third does not do for so long, a third as often as does, four weeks apart at least. An
exchange that is foreseen may wait for its reading until that turn. The first task of the agenda goes before
it.
"""

from __future__ import annotations

import numpy as np

from slurrycalc.data.assumed import (
    COVERAGE,
    FLOOR_CHANCE,
    MOST_AT_ONCE,
    READ_AGAIN_SOONEST,
    STAGE_SPACING,
    UPKEEP_DAYS,
    UPKEEP_EVERY,
)
from slurrycalc.deciding.bed import Mix, Nodes, levels, parts_to_hold, rates
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.metrology.uncertain import NORMAL_95
from tests.worlds.loop import BOUND, CHUNK, Flags, Rules, Turns, kept_by, print_rows, some
from tests.worlds.loop_truth import DAYS, HIGH, LOW, MIX, MIX_READ, WORLDS, Floats, Ints

PLACES = ("steady", "straight", "doubled at 18", "tripled late", "r 0.4, kept", "r 2.5, kept")
OFTENER = (2.0, 1.0)
"""Tried where a third does not do every three months. [month]"""


class Upkept(Turns):
    """Keepers who follow an upkeep beside the first tasks."""

    def __init__(self, beds: int, rules: Rules) -> None:
        super().__init__(beds, rules)
        self.tends, self.part = np.zeros(beds, dtype=bool), np.zeros(beds)
        self.every = np.zeros(beds, dtype=np.int64)  # from one exchange to the next, 0: no upkeep yet [d]

    @property
    def turn(self) -> Ints:
        """The day of the next exchange of each upkeep, long past where there is none."""
        return np.where(self.every > 0, self.exchanged_on + self.every, -1000)

    def acts(self, nodes: Nodes, day: Ints, reads: Flags, open_ones: Flags) -> Flags:
        """Give where a part is exchanged, as the first task or as the upkeep has it."""
        acts = super().acts(nodes, day, reads, open_ones)
        level, rate = levels(nodes, self.u_shared), rates(nodes)
        shown = np.abs(rate.centre()) > NORMAL_95 * rate.spread()
        ready = (nodes.days >= UPKEEP_DAYS.value) | shown
        held = (level.below(LOW) <= 0.5) & (level.above(HIGH) <= 0.5)
        held &= level.below(BOUND[1]) <= min(FLOOR_CHANCE.value, 1.0 - COVERAGE.value)
        rested = day - self.exchanged_on >= STAGE_SPACING.value
        read_for = reads | ((self.every > 0) & (self.last >= self.turn - round(READ_AGAIN_SOONEST.value)))
        due = open_ones & read_for & ready & held & rested & (day >= self.turn)
        asked = due & ~acts & (self.left == 0) & ~self.waits
        self.part, self.tends = np.zeros(len(day)), np.zeros(len(day), dtype=bool)
        if asked.any():
            self.part[asked], every = _held(some(nodes, asked), self.u_shared)
            self.tends = asked & (self.part > 0.0)
            days = np.round(every * DAYS_PER_MONTH).astype(np.int64)
            self.every[asked] = np.where(self.part[asked] > 0.0, days, 0)
        return np.asarray(acts | self.tends)

    def parts(self, nodes: Nodes, acts: Flags, mix: Floats) -> tuple[Floats, Floats]:
        """Give the part to exchange now where one acts, and how many stages there are in all."""
        part, count = self.part[acts], np.ones(int(acts.sum()))
        first = ~self.tends[acts]
        if first.any():
            part[first], count[first] = super().parts(nodes, acts & ~self.tends, mix)
        return part, count

    def foreseen_by(self) -> Ints:
        """Give the day by which a foreseen exchange is read at the latest, its turn if that is later."""
        return np.maximum(super().foreseen_by(), self.turn)

    def next(self, nodes: Nodes, day: Ints) -> tuple[Ints, Flags]:
        """Give the next visit: of the first task, or of the upkeep where that comes first."""
        due, reads = super().next(nodes, day)
        turn = np.where((self.every > 0) & (self.turn > day), self.turn, DAYS + 1000)
        read = self.last >= turn - round(READ_AGAIN_SOONEST.value)
        return np.minimum(due, turn), np.asarray(np.where(turn < due, ~read, reads))


def _held(nodes: Nodes, u_shared: float) -> tuple[Floats, Floats]:
    """Give the part that an upkeep asks for, and how often. [month]."""
    mix, every = Mix(np.full(nodes.beds, MIX), MIX_READ), np.full(nodes.beds, UPKEEP_EVERY.value)
    part = parts_to_hold(nodes, BOUND, mix, every=UPKEEP_EVERY.value, u_shared=u_shared)
    for months in OFTENER:
        none = np.isnan(part)
        if not none.any():
            break
        beds, same = some(nodes, none), Mix(np.full(int(none.sum()), MIX), MIX_READ)
        oftener = parts_to_hold(beds, BOUND, same, every=months, u_shared=u_shared)
        every[none] = months
        part[none] = np.where(np.isnan(oftener), np.nan, MOST_AT_ONCE.value)
    return np.where(np.isnan(part), MOST_AT_ONCE.value, part), every


def cells(name: str, beds: int, seed: int, rules: Rules | None = None) -> list[str]:
    """Write what came of a world: unseen, broken, substrate, readings."""
    rules = rules or Rules()
    return kept_by(WORLDS[name], beds, seed, lambda n: Upkept(n, rules)).row()


if __name__ == "__main__":
    print_rows(cells, __doc__, 4 * CHUNK, 20264, PLACES)
