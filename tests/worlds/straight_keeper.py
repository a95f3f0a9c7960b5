"""The loop again, by a straight line with a free step at each exchange, as the product answered before.

Run ``python tests/worlds/straight_keeper.py`` for the table. The keeper reads when the line may reach the
floor, within twelve months; where the bed lies below its range with more than 1 in 2, exchanges the part that
reaches the middle of the range with 95 in 100, at most a third at a time; reads a week later, and begins
anew. The line, its days and the part are the product's own: it still answers so from numbers on the line.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from uncertainties import ufloat

from slurrycalc.data.assumed import AFTER_EXCHANGE, FIRST_RETEST, FLOOR_CHANCE, MOST_AT_ONCE, STAGE_SPACING
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.exchange import exchange
from slurrycalc.deciding.trend import TooFewDays, Trend, trend
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.remark import Refusal
from tests.worlds.loop import CHUNK, MIDDLE, Kept, print_rows
from tests.worlds.loop_truth import DAYS, FLOOR, LOW, MIX_READ, WORLDS, Truth, World

FIRST = date(2020, 1, 1)


class OneBed:
    """What a keeper has on record of a bed."""

    def __init__(self) -> None:
        self.read: list[int] = []
        self.ph: list[float] = []
        self.exchanged: list[int] = []

    def line(self) -> Trend | None:
        """Draw the line through what was read; None where there are too few days for it."""
        days, done = ([FIRST + timedelta(days=day) for day in each] for each in (self.read, self.exchanged))
        try:
            return trend(days, self.ph, done)
        except TooFewDays:
            return None

    def answer(self, mix: float) -> tuple[float, float, int]:
        """Say the chance to be below the floor, the part to exchange, and the days to the next reading."""
        line, day = self.line(), self.read[-1]
        now = ufloat(self.ph[-1], 0.10) if line is None else line.now
        below = probability(now, below=FLOOR)
        rested = not self.exchanged or day - self.exchanged[-1] >= STAGE_SPACING.value
        if probability(now, below=LOW) > 0.5 and rested and mix > now.n:
            try:
                part = exchange(now, ufloat(mix, MIX_READ), MIDDLE).planned or 0.0
            except Refusal:
                part = 0.0
            if part > 0.0:
                return below, min(part, MOST_AT_ONCE.value), round(AFTER_EXCHANGE.value)
        if line is None:
            return below, 0.0, round(FIRST_RETEST.value * DAYS_PER_MONTH)
        wait = (line.retest_by(FLOOR).by - (FIRST + timedelta(days=day))).days
        return below, 0.0, max(wait, round(AFTER_EXCHANGE.value))


def by_the_line(world: World, beds: int, seed: int) -> Kept:
    """Keep beds as the straight line says."""
    kept = Kept()
    for part in range(0, beds, CHUNK):
        kept += _kept(Truth(world, np.random.default_rng([seed, part]), CHUNK))
    return kept


def _kept(truth: Truth) -> Kept:
    beds = [OneBed() for _ in range(CHUNK)]
    shown, unseen = np.zeros(CHUNK, dtype=bool), np.zeros(CHUNK, dtype=bool)
    due, open_ones, readings = np.zeros(CHUNK, dtype=np.int64), np.ones(CHUNK, dtype=bool), 0
    while open_ones.any():
        low, _ = truth.on(due)
        unseen |= low & ~shown & open_ones
        open_ones &= due < DAYS
        (mean, _), (true, read) = truth.read(), truth.mix()
        parts = np.zeros(CHUNK)
        for i in np.flatnonzero(open_ones).tolist():
            bed, day = beds[i], int(due[i])
            bed.read.append(day)
            bed.ph.append(float(mean[i]))
            readings += 1
            below, parts[i], wait = bed.answer(float(read[i]))
            shown[i] = below > FLOOR_CHANCE.value
            if parts[i] > 0.0:
                bed.exchanged.append(day)
            due[i] = min(day + wait, DAYS)
        truth.exchange(parts, true)
    return Kept(CHUNK, int(unseen.sum()), int(truth.below.sum()), readings, float(truth.substrate.sum()))


def cells(name: str, beds: int, seed: int) -> list[str]:
    """Write what came of a world: unseen, broken, substrate, readings a year."""
    return by_the_line(WORLDS[name], beds, seed).row(2)


if __name__ == "__main__":
    print_rows(cells, __doc__, 50, 20290, WORLDS)
