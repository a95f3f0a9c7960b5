"""A probe in the loop: read weekly in beds that are kept as told, and in beds that are left alone.

Run ``python tests/worlds/loop_probe.py`` for the table; ``--beds`` sets how many beds a cell has, ``--seed``
draws others. On each bench day the probe stands beside both jars and in a tub of fresh mix, as the guided day
asks; each week until the next visit in one spot of the bed. What it then says is one update by the bed's
model, of that spot; it is held to the truth of the bed's mean.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field

import numpy as np

from slurrycalc.data.assumed import FLOOR_CHANCE, READ_AGAIN_LATEST
from slurrycalc.deciding.bed import Nodes, advanced, levels, rates
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.measuring.probe import bed_before, response, update
from slurrycalc.metrology.uncertain import nameless
from tests.worlds.bed_worlds import SHARED
from tests.worlds.loop import Flags, Rules, Turns, kept_by, some
from tests.worlds.loop_truth import DAYS, FLOOR, MIX, MIX_SPREAD, SCATTER, WORLDS, Ints, Truth

WEEK, JAR, NOISE = 7, 0.03, 0.30
"""[d]; scatter of a jar about its spot, and of an indication. [pH]"""
STOPS = 36 * DAYS_PER_MONTH
"""From then on a keeper who stops neither reads nor exchanges. [d]"""


@dataclass(frozen=True)
class Kind:
    """A kind of probe."""

    gain: float = 1.0
    wander: float = 0.0
    """What its offset gains in a month, up or down. [pH]"""


KINDS = {
    "honest": Kind(),
    "weak": Kind(gain=0.5),
    "drifting": Kind(wander=0.03),
    "dead": Kind(gain=0.0),
}
HABITS = ("as told", "exchanges nothing", "stops at 36 months")
PLACES = ("straight", "tripled late", "accelerating")


class Leaves(Turns):
    """A keeper who reads as told and exchanges nothing, or who leaves the beds alone from a day on.

    One who exchanges nothing reads no more once the bed may be below its floor.
    """

    def __init__(self, beds: int, rules: Rules, stops: float = DAYS) -> None:
        super().__init__(beds, rules)
        self.stops, self.gone = stops, np.zeros(beds, dtype=bool)

    def acts(self, nodes: Nodes, day: Ints, reads: Flags, open_ones: Flags) -> Flags:
        """Give where a part is exchanged."""
        asks = super().acts(nodes, day, reads, open_ones)
        if self.stops < DAYS:
            return np.asarray(asks & (day < self.stops))
        self.gone |= self.told(nodes).chance > FLOOR_CHANCE.value
        self.left, self.waits = np.zeros(len(day)), np.zeros(len(day), dtype=bool)
        return np.zeros(len(day), dtype=bool)

    def next(self, nodes: Nodes, day: Ints) -> tuple[Ints, Flags]:
        """Give the next visit; none once the beds are left alone."""
        due, reads = super().next(nodes, day)
        self.gone |= due > self.stops
        return np.where(self.gone, DAYS, due), np.asarray(reads & ~self.gone)


@dataclass
class Weekly:
    """What weekly indications said."""

    kind: Kind
    random: np.random.Generator
    shown: int = 0
    below: int = 0
    """Of them those on which the bed lay truly below its floor."""
    above: int = 0
    """Of all, those that said "above the floor"."""
    wrong: int = 0
    """Of those below, the same."""
    pairs: dict[int, tuple[list[float], list[float], list[int]]] = field(default_factory=dict)

    def watch(self, truth: Truth, nodes: Nodes, turns: Turns, day: Ints, due: Ints) -> None:
        """Take pairs on bench days, and read weekly until the next visit."""
        if not day.any():
            self.offset = self.random.normal(0.3, 0.5, truth.beds)
            self.wander = self.kind.wander * self.random.choice([-1.0, 1.0], truth.beds)
            self.pairs, self.responses, self.shared = {}, {}, nameless(SHARED, "calibration")
        open_ones = day < due
        for i in np.flatnonzero(open_ones & (turns.last == day)).tolist():
            self._pair(truth, i, int(day[i]))
        at_once = turns.told(nodes).chance > FLOOR_CHANCE.value
        # A probe is read for as long as a bed may go unread; what is overdue by more is no concern of it.
        for week in range(1, int(READ_AGAIN_LATEST.value * DAYS_PER_MONTH / WEEK) + 1):
            on = day + WEEK * week
            here = open_ones & (on < due)
            if not here.any():
                break
            truth.on(np.where(here, on, truth.now))
            self._read(truth, some(nodes, here), turns, on, here, at_once)

    def _pair(self, truth: Truth, i: int, day: int) -> None:
        spots = [*truth.spots[:, i].tolist(), float(self.random.normal(MIX, MIX_SPREAD))]
        shows, slurries, days = self.pairs.setdefault(i, ([], [], []))
        for ph in spots:
            slurries.append(round(ph + float(truth.junction[i]) + self.random.normal(0.0, JAR), 2))
            shows.append(self._shows(ph, i, day))
            days.append(day)
        self.responses[i] = response(shows, [ph + self.shared for ph in slurries], resolution=0.1)

    def _shows(self, ph: float, i: int, day: int) -> float:
        seen = 5.5 + self.offset[i] + self.wander[i] * day / DAYS_PER_MONTH + self.kind.gain * (ph - 5.5)
        return float(np.clip(round(seen + self.random.normal(0.0, NOISE), 1), 0.0, 14.0))

    def _read(self, truth: Truth, nodes: Nodes, turns: Turns, on: Ints, here: Flags, at_once: Flags) -> None:
        nodes = advanced(nodes, on[here] / DAYS_PER_MONTH)
        level, u, rate = levels(nodes).centre(), levels(nodes).spread(), rates(nodes).centre()
        spot = (nodes.weight * nodes.grid.scatter).sum(axis=(1, 2, 3))
        for k, i in enumerate(np.flatnonzero(here).tolist()):
            day = int(on[i])
            before = bed_before(
                float(level[k]),
                float(u[k]),
                rate=float(rate[k]),
                months=(day - int(turns.last[i])) / DAYS_PER_MONTH,
                spot_variance=float(spot[k]),
                shared=self.shared,
                overdue=bool(at_once[i]),
            )
            ph = float(truth.level[i] + self.random.normal(0.0, SCATTER))
            months = (day - float(np.mean(self.pairs[i][2]))) / DAYS_PER_MONTH
            said = update(before, self.responses[i], self._shows(ph, i, day), months).says_above(FLOOR)
            below = bool(truth.level[i] < FLOOR)
            self.shown, self.below = self.shown + 1, self.below + below
            self.above, self.wrong = self.above + said, self.wrong + (said and below)


def weekly(world: str, kind: str, habit: str, beds: int, seed: int) -> Weekly:
    """Read a probe weekly in beds of a world, kept by a habit."""
    found, rules = Weekly(KINDS[kind], np.random.default_rng([seed, 7])), Rules()
    turns = {
        "as told": lambda n: Turns(n, rules),
        "exchanges nothing": lambda n: Leaves(n, rules),
        "stops at 36 months": lambda n: Leaves(n, rules, STOPS),
    }[habit]
    kept_by(WORLDS[world], beds, seed, turns, found.watch)
    return found


def cells(kind: str, habit: str, beds: int, seed: int) -> list[str]:
    """Write what a kind of probe said in the worlds, beds kept by a habit."""
    found = [weekly(world, kind, habit, beds, seed) for world in PLACES]
    shown, below, above, wrong = (
        sum(getattr(each, name) for each in found) for name in ("shown", "below", "above", "wrong")
    )
    shares = [above / shown, below / shown, wrong / shown]
    return [f"{shown}", *(f"{share:.4f}" for share in shares), f"{wrong} of {below}"]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--beds", type=int, default=50)
    parser.add_argument("--seed", type=int, default=20263)
    given = parser.parse_args()
    for habit in HABITS:
        for kind in KINDS:
            row = " | ".join(cells(kind, habit, given.beds, given.seed))
            print(f"| {kind}, {habit} | {row} |", flush=True)


if __name__ == "__main__":
    main()
