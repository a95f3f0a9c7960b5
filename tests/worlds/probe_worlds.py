"""Worlds of beds and probes whose truth is known: what is drawn, read, recorded, and asked of the probe.

Bench days are a month apart, each slurry with the probe's indication of its spot. The record is a straight
line through the days' means with what is expected of scatter, carried on to the day that is asked about. All
slurries share one calibration. A world is drawn by its own seed, so that a cell does not change another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from math import sqrt
from typing import Any

import numpy as np
from scipy.special import stdtrit
from uncertainties.core import Variable

from slurrycalc.measuring.probe import Before, ProbeResponse, bed_before, response, update
from slurrycalc.metrology.uncertain import NORMAL_95, nameless

FLOOR = 5.0
SPOTS = 4
"""Spots of a world's first bed that are asked about on one day."""
CALIBRATION = 0.03
"""Standard deviation of what all slurries share. [pH]"""
JAR = 0.03
"""Standard deviation of a slurry about its spot. [pH]"""


@dataclass(frozen=True)
class World:
    """A kind of bed with a kind of probe."""

    gain: float = 1.0
    noise: float = 0.30
    """Of an indication about its response. [pH]"""
    wander: float = 0.0
    """What the probe's offset gains in a month. [pH]"""
    spot_sd: float = 0.10
    drift: float = -0.05
    """Of the bed up to the last bench day. [pH/month]"""
    then: float = -0.05
    """Of the bed from that day on, which no slurry has shown. [pH/month]"""
    later: float = 6.0
    """From the last bench day to the day asked about. [month]"""
    beds: int = 1
    days: int = 13
    per_day: int = 2
    lowest: float = 4.4
    highest: float = 6.0
    """Where the first bed lies on the day asked about. [pH]"""


@dataclass(frozen=True)
class Drawn:
    """What a keeper has of such a world, and what is true."""

    before: Before
    response: ProbeResponse
    shows: tuple[float, ...]
    truth: tuple[float, ...]
    """Of the spots. [pH]"""
    pairs_months: float


def line_record(months: np.ndarray, means: np.ndarray, now: float, per_day: int, shared: Variable) -> Before:
    """Say what a straight line through day means knows of a spot, now months after the first.

    Its doubt is Student's, written as a normal one with the same 95 % interval: as a mixture is handed on.
    """
    centred = months - months.mean()
    # Two degrees of freedom less for the line, two more for the 0.10 expected.
    square, dof = float(centred @ centred), float(len(months))
    rate = float(centred @ means) / square
    left = means - means.mean() - rate * centred
    variance = (float(left @ left) + 2 * 0.10**2) / dof * (float(stdtrit(dof, 0.975)) / NORMAL_95) ** 2
    far = now - float(months.mean())
    return bed_before(
        float(means.mean()) + rate * far,
        sqrt(variance * (1 / len(months) + far**2 / square)),
        rate=rate,
        months=now - float(months.max()),
        spot_variance=variance * per_day,
        shared=shared,
    )


def draw(world: World, seed: list[int]) -> Drawn:
    """Draw a world: a year of bench days of its beds, and the probe at spots of the first one."""
    rng = np.random.default_rng(seed)
    shared = nameless(CALIBRATION, "calibration")
    error, offset = rng.normal(0, CALIBRATION), rng.normal(0.3, 0.5)

    def shows(ph: np.ndarray, month: np.ndarray | float) -> np.ndarray:
        seen = 5.5 + offset + world.wander * np.asarray(month) + world.gain * (ph - 5.5)
        return np.clip(np.round(seen + rng.normal(0, world.noise, ph.shape), 1), 0, 14)

    month = np.repeat(np.arange(float(world.days)), world.per_day)
    now = world.days - 1 + world.later
    probe: list[float] = []
    slurry: list[Any] = []
    record = None
    for bed in range(world.beds):
        level = rng.uniform(world.lowest, world.highest)
        spots = level - world.then * world.later + world.drift * (month - world.days + 1)
        spots = spots + rng.normal(0, world.spot_sd, month.size)
        read = np.round(spots + error + rng.normal(0, JAR, month.size), 2)
        probe += shows(spots, month).tolist()
        slurry += [ph + shared for ph in np.clip(read, 0, 14).tolist()]
        if bed == 0:
            means = read.reshape(-1, world.per_day).mean(axis=1)
            record = line_record(np.arange(float(world.days)), means, now, world.per_day, shared)
            asked = level + rng.normal(0, world.spot_sd, SPOTS)
    assert record is not None
    return Drawn(
        record,
        response(probe, slurry, resolution=0.1),
        tuple(shows(asked, now).tolist()),
        tuple(asked.tolist()),
        now - float(month.mean()),
    )


@dataclass(frozen=True)
class Score:
    """Of a cell's spots: how many are covered, how wide, and how many that lie below are called above."""

    coverage: float
    half_width: float
    """Mean, of the update. [pH]"""
    record_coverage: float
    """Of the record alone."""
    by_record: float
    """Mean half-width of the record alone. [pH]"""
    false_comfort: float
    """Of the spots that are truly below the floor, the part that is called above it."""
    of_all: float
    """The same of all indications."""
    follows: float
    """The part of the probes called so."""
    does_not: float


def score(world: World, size: int, seed: int) -> Score:
    """Draw worlds of a cell and judge the update at their spots."""
    rows, states = [], []
    for i in range(size):
        drawn = draw(world, [seed, i])
        states.append(drawn.response.state)
        for shows, truth in zip(drawn.shows, drawn.truth, strict=True):
            found = update(drawn.before, drawn.response, shows, drawn.pairs_months)
            low, high = found.interval()
            by_record = drawn.before.interval()
            rows.append(
                (
                    low <= truth <= high,
                    (high - low) / 2,
                    by_record.low <= truth <= by_record.high,
                    by_record.half_width,
                    truth < FLOOR,
                    found.says_above(FLOOR),
                )
            )
    covered, width, record_covered, record, below, above = np.array(rows, float).T
    return Score(
        coverage=float(covered.mean()),
        half_width=float(width.mean()),
        record_coverage=float(record_covered.mean()),
        by_record=float(record.mean()),
        false_comfort=float((below * above).sum() / max(below.sum(), 1)),
        of_all=float((below * above).mean()),
        follows=states.count("follows") / size,
        does_not=states.count("does not follow") / size,
    )


HONEST = World()
NOISES, SPOT_SDS, LATER = (0.15, 0.30, 0.45), (0.05, 0.10, 0.20), (1.0, 3.0, 6.0)


def honest_cells() -> Iterator[World]:
    """Give the 81 cells of one bed and an honest probe."""
    for drift, noise, spot_sd, later in product((0.0, -0.05, -0.10), NOISES, SPOT_SDS, LATER):
        yield replace(HONEST, drift=drift, then=drift, noise=noise, spot_sd=spot_sd, later=later)


def tripled_cells() -> Iterator[World]:
    """Give the 27 cells of one bed whose drift triples on its last bench day."""
    for noise, spot_sd, later in product(NOISES, SPOT_SDS, LATER):
        yield replace(HONEST, then=-0.15, noise=noise, spot_sd=spot_sd, later=later)


def cells_of(**kind: object) -> Iterator[World]:
    """Give the cells of another kind of probe: one bed to five, soon after a bench day and long after."""
    for beds, drift, later in product((1, 3, 5), (0.0, -0.05), LATER):
        yield replace(HONEST, beds=beds, drift=drift, then=drift, later=later, **kind)  # type: ignore[arg-type]


KINDS: dict[str, tuple[World, ...]] = {
    "honest, one bed": tuple(honest_cells()),
    "drift tripled since the last bench day": tuple(tripled_cells()),
    "three and five beds": tuple(cell for cell in cells_of() if cell.beds > 1),
    "gain 0.5": tuple(cells_of(gain=0.5)),
    "gain 0.8": tuple(cells_of(gain=0.8)),
    "gain 1.2": tuple(cells_of(gain=1.2)),
    "dead": tuple(cells_of(gain=0.0)),
    "offset wanders by 0.03 a month": (*cells_of(wander=0.03), *cells_of(wander=-0.03)),
}
