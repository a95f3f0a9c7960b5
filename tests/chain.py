"""The full chain of one enclosure's pH, simulated: bottles, electrode, thermometer, display, slurries.

Nature is simulated with the distributions that the errors really have: bottles and thermometer rectangular,
displays rounded, the rest normal. What the keeper's side makes of it goes two ways:

* `by_product` hands the raw readings to the product, calibration and all: a few milliseconds a draw;
* `by_arrays` computes the same mean and residual sum of squares as arrays (a straight line through the
  buffers with equal weights, its inverse, the mean), and takes the interval from the product: its half-width
  depends on the draw through the residual sum of squares only, nearly, so the product is run on a row of
  those and the rest is interpolated. A test holds the two ways together, draw by draw.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from slurrycalc.measuring.electrode import Calibration, Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import buffer_ph
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.slurry import slurry_ph

Floats = NDArray[np.float64]

ROOM = 21.0
"""Temperature as read. [degC]"""
TOLERANCE = 0.02
THERMOMETER = 1.0
JUNCTION = 0.02
STEPS = {"mV": 0.1, "pH": 0.01}
REPEATABILITY = {"mV": 0.3, "pH": 0.01}


@dataclass(frozen=True)
class Bench:
    """A keeper's instruments."""

    shows: str
    buffers: tuple[str, ...]
    junction: bool

    @property
    def meter(self) -> Meter:
        return Meter("mV" if self.shows == "mV" else "pH", junction=JUNCTION if self.junction else 0.0)


BENCHES = tuple(
    Bench(shows, buffers, junction)
    for shows, buffers, junction in product(
        ("mV", "pH"), (("4.01", "7.00"), ("4.01", "7.00", "10.01")), (True, False)
    )
)


@dataclass(frozen=True)
class Draws:
    """Raw readings of many bench days, and the truth behind them."""

    truth: Floats
    """(size,) [pH]"""
    points: Floats
    """(size, buffers), as shown."""
    readings: Floats
    """(size, n), as shown."""


def draw(bench: Bench, n: int, scatter: float, size: int, rng: np.random.Generator) -> Draws:
    """Simulate bench days of one enclosure with n slurries."""
    off = rng.uniform(-THERMOMETER, THERMOMETER, size)
    labels = np.array([[buffer_ph(label, ROOM - 1), buffer_ph(label, ROOM + 1)] for label in bench.buffers])
    in_bottles = labels[:, 0] + (labels[:, 1] - labels[:, 0]) * (off[:, None] + 1) / 2
    in_bottles = in_bottles + rng.uniform(-TOLERANCE, TOLERANCE, in_bottles.shape)
    truth = rng.uniform(4.6, 6.6, size)
    in_jars = truth[:, None] + rng.normal(0.0, scatter, (size, n))
    if bench.junction:
        in_jars = in_jars + rng.normal(0.0, JUNCTION, size)[:, None]
    if bench.shows == "mV":
        zero, efficiency = rng.uniform(-30.0, 30.0, size), rng.uniform(0.95, 1.02, size)
        gain = -efficiency * (nernst_slope(0.0) / 273.15) * (ROOM + off + 273.15)
    else:
        zero, gain = 7.0 + rng.normal(0.0, 0.05, size), rng.normal(1.0, 0.01, size)

    def shown(ph: Floats) -> Floats:
        value = zero[:, None] + gain[:, None] * (ph - 7.0)
        value = value + rng.normal(0.0, REPEATABILITY[bench.shows], ph.shape)
        return np.round(value / STEPS[bench.shows]) * STEPS[bench.shows]

    return Draws(truth, shown(in_bottles), shown(in_jars))


def calibrated(bench: Bench, shown: Floats) -> Calibration:
    return calibrate([(b, float(e), ROOM) for b, e in zip(bench.buffers, shown, strict=True)], bench.meter)


def by_product(bench: Bench, draws: Draws, expected: Expected = DEFAULT) -> tuple[Floats, Floats]:
    """Mean and half-width of each draw, by the product from the raw readings on."""
    found = []
    for points, readings in zip(draws.points, draws.readings, strict=True):
        result = slurry_ph(calibrated(bench, points), readings.tolist(), ROOM, expected=expected)
        found.append((result.ph.n, result.interval().half_width))
    ph, half_width = np.array(found).T
    return ph, half_width


def by_arrays(bench: Bench, draws: Draws, expected: Expected = DEFAULT) -> tuple[Floats, Floats]:
    """Mean and half-width of each draw, by arrays and the product's half-widths."""
    buffers = np.array([buffer_ph(label, ROOM) for label in bench.buffers])
    centred = buffers - buffers.mean()
    slope = draws.points @ centred / float(centred @ centred)
    level = draws.points.mean(axis=1)
    jars = buffers.mean() + (draws.readings - level[:, None]) / slope[:, None]
    mean = jars.mean(axis=1)
    root = np.sqrt(((jars - mean[:, None]) ** 2).sum(axis=1))
    grid, half_width = _half_widths(bench, draws.readings.shape[1], expected)
    return mean, np.interp(root, grid, half_width)


@cache
def _half_widths(bench: Bench, n: int, expected: Expected) -> tuple[Floats, Floats]:
    """The product's half-width on a row of roots of the residual sum of squares."""
    grid = np.concatenate([[0.0], np.geomspace(0.003, 3.0, 60)]) if n > 1 else np.array([0.0])
    ideal = [
        (buffer_ph(b, ROOM) - 7.0) * -nernst_slope(ROOM) if bench.shows == "mV" else buffer_ph(b, ROOM)
        for b in bench.buffers
    ]
    cal = calibrated(bench, np.array(ideal))
    apart = np.zeros(n)
    if n > 1:
        apart = np.linspace(-1.0, 1.0, n)
        apart /= np.sqrt((apart**2).sum())
    found = []
    for root in grid:
        jars = 5.6 + root * apart
        readings = -nernst_slope(ROOM) * (jars - 7.0) if bench.shows == "mV" else jars
        result = slurry_ph(None, [cal.ph(float(each), ROOM) for each in readings], expected=expected)
        found.append(result.interval().half_width)
    return grid, np.array(found)


def coverage(
    bench: Bench, n: int, scatter: float, expected: Expected = DEFAULT, *, size: int = 20_000, seed: int = 2
) -> tuple[float, float]:
    """How often the interval covers the truth, and its mean half-width, by arrays."""
    draws = draw(bench, n, scatter, size, np.random.default_rng(seed))
    mean, half_width = by_arrays(bench, draws, expected)
    return float(np.mean(np.abs(mean - draws.truth) <= half_width)), float(half_width.mean())


def worst(
    n: int, scatter: float, expected: Expected = DEFAULT, *, size: int = 20_000, seed: int = 2
) -> tuple[float, float, float]:
    """The least and the largest coverage of any bench, and the mean half-width."""
    found = np.array([coverage(bench, n, scatter, expected, size=size, seed=seed) for bench in BENCHES])
    return float(found[:, 0].min()), float(found[:, 0].max()), float(found[:, 1].mean())
