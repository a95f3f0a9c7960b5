"""Worlds of a first day: one bench day, nothing learnt; what is said of the bed, and how often that is so.

Run ``python tests/worlds/first_day.py`` for the table. Beds lie anywhere from 4.6 to 6.6; two jars scatter
by σ.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np

from slurrycalc.data.assumed import COVERAGE, FLOOR_CHANCE
from slurrycalc.deciding.bed import Prior, levels, observed, unread
from tests.worlds.bed_worlds import CALIBRATION, JARS, JUNCTION, PAIR, SHARED
from tests.worlds.loop_truth import FLOOR, LOW

SCATTERS = (0.05, 0.10, 0.20, 0.35)
CHUNK = 500


@dataclass(frozen=True)
class FirstDay:
    """What is said on first days, in shares of the beds that it is about."""

    covered: float
    """Levels within their interval. [1]"""
    missed: float
    """Of beds below the floor, those of which no doubt is raised: 5 in 100 or less for it. [1]"""
    sure: float
    """Of beds above the floor, those that are said to lie below it, with 95 in 100. [1]"""
    alarmed: float
    """Of beds inside the range, those that may be below the floor: read again at once. [1]"""
    exchanged: float
    """Of beds inside the range, those for which an exchange is asked. [1]"""


def first_day(scatter: float, beds: int, seed: int, prior: Prior | None = None) -> FirstDay:
    """Read beds once, and say where they stand."""
    rows = [_some(scatter, np.random.default_rng([seed, i]), prior) for i in range(0, beds, CHUNK)]
    counts = np.sum(rows, axis=0)
    all_beds, below, above, inside = counts[:4]
    return FirstDay(*(counts[4:] / [all_beds, below, above, inside, inside]).tolist())


def _some(scatter: float, random: np.random.Generator, prior: Prior | None) -> list[int]:
    truth = random.uniform(4.6, 6.6, CHUNK)
    day = random.choice([0.02, 0.07], CHUNK, p=[0.75, 0.25])
    own = random.normal(0.0, np.sqrt(day**2 + CALIBRATION**2 + JUNCTION**2 + PAIR**2))
    jars = truth + own + random.normal(0.0, scatter, (JARS, CHUNK))
    mean = jars.mean(axis=0)
    squares = ((jars - mean) ** 2).sum(axis=0)
    nodes = observed(unread(mean, prior or Prior()), mean, JARS, squares, CALIBRATION)
    level = levels(nodes, SHARED)
    below, chance = truth < FLOOR, level.below(FLOOR)
    inside = (truth >= LOW) & (truth <= 6.5)
    return [
        CHUNK,
        below.sum(),
        (~below).sum(),
        inside.sum(),
        ((level.quantile(0.025) <= truth) & (truth <= level.quantile(0.975))).sum(),
        (below & (chance <= FLOOR_CHANCE.value)).sum(),
        (~below & (chance >= COVERAGE.value)).sum(),
        (inside & (chance > FLOOR_CHANCE.value)).sum(),
        (inside & (level.below(LOW) > 0.5)).sum(),
    ]


def cells(scatter: float, beds: int, seed: int) -> list[str]:
    """Write a row of the table."""
    return [f"{each:.3f}" for each in vars(first_day(scatter, beds, seed)).values()]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--beds", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=20263)
    given = parser.parse_args()
    for scatter in SCATTERS:
        print(f"| σ {scatter:.2f} | {' | '.join(cells(scatter, given.beds, given.seed))} |", flush=True)


if __name__ == "__main__":
    main()
