"""Worlds of one bed without exchanges, for the coverage of its model and for a keeper who reads when told.

Run ``python tests/worlds/bed_worlds.py`` for the tables; ``--beds`` sets how many beds a cell has, ``--seed``
draws others.

Two jars a day scatter by σ each; a bench day adds an effect of its own of 0.02 (three beds in four) or 0.07,
and 0.012 of its calibration. All days share the junction's 0.020, and those of six months a pair of bottles,
0.0085: 0.022 together, and a move of 0.012 with new bottles. Beds begin at 5.8 to 6.6 and fall by 0.015 to
0.045 a month. All of these are our own choice.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from slurrycalc.deciding.bed import (
    Nodes,
    Prior,
    advanced,
    bench_moved,
    levels,
    observed,
    past,
    rates,
    read_again_months,
    unread,
)

Floats = NDArray[np.float64]
Path = Callable[[Floats], Floats]
"""True level, against the months since the first day. [pH]"""

JARS, CALIBRATION, SHARED, BOTTLES_EVERY = 2, 0.012, 0.022, 6.0
JUNCTION, PAIR, BOTTLES = 0.020, 0.0085, 0.012
FLOOR = ("floor", 5.0)
MONTHS, AHEAD = 24.0, 3.0
CHUNK = 50


@dataclass
class World:
    """True beds, and what their readings add."""

    level: Path
    scatter: float
    random: np.random.Generator
    beds: int

    def __post_init__(self) -> None:
        self.day_effect = self.random.choice([0.02, 0.07], self.beds, p=[0.75, 0.25])
        self.junction = self.random.normal(0.0, JUNCTION, self.beds)
        self.pairs = self.random.normal(0.0, PAIR, (16, self.beds))

    def rate(self, months: Floats) -> Floats:
        """True rate. [pH/month]."""
        return (self.level(months + 1e-4) - self.level(months - 1e-4)) / 2e-4

    def read(self, months: Floats) -> tuple[Floats, Floats]:
        """Read each bed: mean of the jars [pH], and their sum of squares [pH^2]."""
        period = np.floor(months / BOTTLES_EVERY + 1e-9).astype(int)
        shared = self.junction + self.pairs[period, np.arange(self.beds)]
        jars = self.random.normal(0.0, self.scatter, (JARS, self.beds))
        own = self.random.normal(0.0, np.hypot(self.day_effect, CALIBRATION))
        mean = self.level(months) + shared + own + jars.mean(axis=0)
        return mean, ((jars - jars.mean(axis=0)) ** 2).sum(axis=0)


def taught(world: World, months: Floats, prior: Prior) -> tuple[Nodes, Floats]:
    """Read beds at given months, and teach the model by it; the means come back as well."""
    found, periods = [], np.floor(months / BOTTLES_EVERY + 1e-9)
    nodes: Nodes | None = None
    for k, at in enumerate(months):
        mean, squares = world.read(np.full(world.beds, at))
        nodes = unread(mean, prior) if nodes is None else advanced(nodes, at)
        nodes = bench_moved(nodes, BOTTLES) if k and periods[k] > periods[k - 1] else nodes
        nodes = observed(nodes, mean, JARS, squares, CALIBRATION)
        found.append(mean)
    assert nodes is not None
    return nodes, np.array(found)


def line(months: Floats, means: Floats) -> tuple[list[Floats], list[Floats]]:
    """Draw the straight line through day means, scatter expected as 0.10 worth 2: values and half-widths."""
    x = np.column_stack([np.ones_like(months), months])
    inverse = np.linalg.inv(x.T @ x)
    beta = inverse @ x.T @ means
    dof = len(months) - 2 + 2
    variance = (((means - x @ beta) ** 2).sum(axis=0) + 2 * 0.10**2) / dof
    t = stdtrit(dof, 0.975)
    rows = [np.array([1.0, MONTHS]), np.array([0.0, 1.0]), np.array([1.0, MONTHS + AHEAD])]
    shared = [SHARED, 0.0, SHARED]
    values = [row @ beta for row in rows]
    half = [
        np.sqrt(t**2 * variance * (row @ inverse @ row) + (1.96 * u) ** 2)
        for row, u in zip(rows, shared, strict=True)
    ]
    return values, half


def paths(name: str, random: np.random.Generator, beds: int) -> Path:
    """Draw true levels of a kind of world."""
    start = random.uniform(5.8, 6.6, beds)
    drift = -random.uniform(0.015, 0.045, beds)
    phase = random.uniform(0.0, 2 * np.pi, beds)

    def turned(at: float, factor: float) -> Path:
        return lambda t: start + drift * (t + (factor - 1.0) * np.maximum(t - at, 0.0))

    def season(t: Floats) -> Floats:
        return start + drift * t + 0.15 * np.sin(2 * np.pi * t / 12.0 + phase)

    def accelerating(t: Floats) -> Floats:
        return start + drift * t * (0.25 + t / 24.0)

    found: dict[str, Path] = {
        "straight": turned(0.0, 1.0),
        "tripled at 12": turned(12.0, 3.0),
        "doubled at 18": turned(18.0, 2.0),
        "tripled late": turned(18.0, 3.0),
        "plateau": turned(12.0, 0.0),
        "season": season,
        "accelerating": accelerating,
    }
    return found[name]


@dataclass(frozen=True)
class Covered:
    """How often level, rate and the level three months on were covered, by the model and by the line."""

    model: tuple[float, float, float]
    line: tuple[float, float, float]
    width: tuple[float, float, float]
    """Mean width of the model's interval over the line's."""


def coverage(
    name: str, scatter: float, days: int, beds: int, seed: int, prior: Prior | None = None
) -> Covered:
    """Cover the truth at month 24 after so many days, evenly spread."""
    months = np.linspace(0.0, MONTHS, days)
    hits, theirs, widths = [], [], []
    for part in range(0, beds, CHUNK):
        random = np.random.default_rng([seed, part, days, round(1000 * scatter)])
        world = World(paths(name, random, CHUNK), scatter, random, CHUNK)
        nodes, means = taught(world, months, prior or Prior())
        end, later = np.full(CHUNK, MONTHS), np.full(CHUNK, MONTHS + AHEAD)
        truth = (world.level(end), world.rate(end), world.level(later))
        answers = (levels(nodes, SHARED), rates(nodes), levels(advanced(nodes, MONTHS + AHEAD), SHARED))
        limits = [(each.quantile(0.025), each.quantile(0.975)) for each in answers]
        hits.append([(lo <= x) & (x <= hi) for (lo, hi), x in zip(limits, truth, strict=True)])
        values, half = line(months, means)
        theirs.append([np.abs(v - x) <= h for v, h, x in zip(values, half, truth, strict=True)])
        widths.append([(hi - lo) / (2 * h) for (lo, hi), h in zip(limits, half, strict=True)])

    def mean(parts: list[list[Floats]]) -> tuple[float, float, float]:
        level, rate, ahead = np.array(parts).mean(axis=(0, 2)).tolist()
        return level, rate, ahead

    return Covered(mean(hits), mean(theirs), mean(widths))


@dataclass
class Keeper:
    """Who reads when told: what came of it."""

    unseen: int = 0
    """Beds that were truly below the floor before a reading showed that they may be."""
    readings: int = 0
    years: float = 0.0


def fallen(world: World, months: float) -> Floats:
    """Give the month in which each bed is first below the floor; inf where it is not within these months."""
    fine = np.arange(0.0, months + 1e-9, 0.125)
    below = np.array([world.level(np.full(world.beds, t)) for t in fine]) < FLOOR[1]
    return np.where(below.any(axis=0), fine[below.argmax(axis=0)], np.inf)


def to_the_letter(name: str, beds: int, seed: int, months: float, prior: Prior | None = None) -> Keeper:
    """Read beds when they are due, until a reading shows a chance above 5 % that one is below the floor."""
    kept = Keeper()
    for part in range(0, beds, CHUNK):
        random = np.random.default_rng([seed, part, len(name)])
        world = World(paths(name, random, CHUNK), 0.10, random, CHUNK)
        below = fallen(world, months)
        now, open_ones = np.zeros(CHUNK), np.ones(CHUNK, dtype=bool)
        mean, squares = world.read(now)
        nodes = observed(unread(mean, prior or Prior()), mean, JARS, squares, CALIBRATION)
        kept.readings += CHUNK
        while open_ones.any():
            shown = open_ones & (past(nodes, FLOOR, SHARED) > 0.05)
            due = now + read_again_months(nodes, [FLOOR], SHARED)
            gone = open_ones & ~shown & (below < due)
            over = open_ones & ~shown & ~gone & (due > months)
            kept.unseen += int(gone.sum())
            ended = np.where(gone, below, np.where(over, months, now))
            kept.years += float(ended[shown | gone | over].sum()) / 12.0
            open_ones &= ~(shown | gone | over)
            due = np.where(open_ones, due, now)
            fresh = np.floor(due / BOTTLES_EVERY) > np.floor(now / BOTTLES_EVERY)
            mean, squares = world.read(due)
            nodes = bench_moved(advanced(nodes, due), BOTTLES * fresh)
            nodes = observed(nodes, mean, JARS, squares, CALIBRATION, on=open_ones)
            kept.readings += int(open_ones.sum())
            now = due
    return kept


def by_the_line(name: str, beds: int, seed: int, months: float) -> Keeper:
    """Read beds when the straight line may reach the floor: a month after the first, then at most a year."""
    kept = Keeper()
    for part in range(0, beds, CHUNK):
        random = np.random.default_rng([seed, part, len(name)])
        world = World(paths(name, random, CHUNK), 0.10, random, CHUNK)
        below = fallen(world, months)
        read = [np.zeros(CHUNK)]
        means = [world.read(read[0])[0]]
        kept.readings += CHUNK
        open_ones = np.ones(CHUNK, dtype=bool)
        while open_ones.any():
            due = read[-1] + 1.0
            shown = np.zeros(CHUNK, dtype=bool)
            if len(read) > 1:
                shown, due = line_due(np.array(read), np.array(means), open_ones)
            gone = open_ones & ~shown & (below < due)
            over = open_ones & ~shown & ~gone & (due > months)
            kept.unseen += int(gone.sum())
            ended = np.where(gone, below, np.where(over, months, read[-1]))
            kept.years += float(ended[shown | gone | over].sum()) / 12.0
            open_ones &= ~(shown | gone | over)
            due = np.where(open_ones, due, read[-1])
            kept.readings += int(open_ones.sum())
            means.append(world.read(due)[0])
            read.append(due)
    return kept


def line_due(read: Floats, means: Floats, open_ones: Floats) -> tuple[Floats, Floats]:
    """Give which beds the line shows to be near the floor, and when the others are due."""
    shown, due = np.zeros(read.shape[1], dtype=bool), read[-1].copy()
    for i in np.flatnonzero(open_ones):
        x = np.column_stack([np.ones(len(read)), read[:, i]])
        inverse = np.linalg.inv(x.T @ x)
        beta = inverse @ x.T @ means[:, i]
        s2 = (((means[:, i] - x @ beta) ** 2).sum() + 2 * 0.10**2) / len(read)
        ahead = read[-1, i] + np.arange(0.0, 12.01, 0.25)
        rows = np.column_stack([np.ones_like(ahead), ahead])
        u = np.sqrt(s2 * np.einsum("ij,jk,ik->i", rows, inverse, rows))
        may = rows @ beta - np.hypot(stdtrit(len(read), 0.975) * u, 1.96 * SHARED) < FLOOR[1]
        shown[i] = may[0]
        due[i] = max(ahead[may.argmax()] if may.any() else ahead[-1], read[-1, i] + 0.25)
    return shown, due


STRAIGHT = [(sigma, days) for sigma in (0.05, 0.10, 0.20, 0.35) for days in (2, 4, 8, 24)]
TURNING = ("tripled at 12", "doubled at 18", "plateau", "season")
YEARS = (24.0, 60.0)
FOLLOWED = ("straight", "doubled at 18", "tripled late", "accelerating", "season")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--beds", type=int, default=400)
    parser.add_argument("--seed", type=int, default=20261)
    given = parser.parse_args()
    print(f"level / rate / three months on; {given.beds} beds a cell")
    for name, scatter, days in (
        *(("straight", sigma, days) for sigma, days in STRAIGHT),
        *((name, 0.10, 24) for name in TURNING),
    ):
        found = coverage(name, scatter, days, given.beds, given.seed)
        columns = ("/".join(f"{x:.2f}" for x in row) for row in (found.model, found.line, found.width))
        print(
            f"{name:<16}{scatter:>6.2f}{days:>4}   model {{}}   line {{}}   width {{}}".format(*columns),
            flush=True,
        )
    print("read to the letter: floor passed unseen and readings a year, by the model and by the line")
    for name, months in ((name, months) for months in YEARS for name in FOLLOWED):
        both = (f(name, given.beds, given.seed, months) for f in (to_the_letter, by_the_line))
        columns = (f"{each.unseen / given.beds:>8.3f}{each.readings / each.years:>6.1f}" for each in both)
        print(f"{name:<16}{months:>4.0f}{{}}   {{}}".format(*columns), flush=True)


if __name__ == "__main__":
    main()
