"""How well fresh substrate holds its pH against the old, from jars of both in known parts."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from typing import Final

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from slurrycalc.data.assumed import COVERAGE
from slurrycalc.deciding.given import nominal
from slurrycalc.deciding.mixing import LOG_FACTOR
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import Uncertain, linear

Floats = NDArray[np.float64]

FARTHEST: Final = log(10.0)
"""The logarithm of the ratio is looked for between minus and plus this (our own limit)."""
_GRID = 93
_STEPS = 40


def capacity_ratio(
    parts: Sequence[float], ph: Sequence[Uncertain], expected: Scatter | None = None
) -> UFloat | None:
    """Fit the ratio of buffering capacities to the pH of mixed jars.

    The pH of bed and fresh mix are fitted with it; the scatter of jars comes from `scatter_fit` at the best
    fit.

    Parameters
    ----------
    parts : sequence of float, length n
        Fresh substrate over the whole jar, by volume. [1]
    ph : sequence of float or UFloat, length n
        Of each jar. [pH]
    expected : Scatter, optional
        What is known of the scatter of jars beforehand. [pH]

    Returns
    -------
    UFloat or None
        Capacity of a volume of fresh over one of old; None where the jars tell it no better than the factor
        of two that is assumed without them. [1]

    References
    ----------
    .. [1] The model: `slurrycalc.deciding.mixing`. JCGM 100:2008 (GUM), 5.1, for its first-order uncertainty.

    Examples
    --------
    >>> from slurrycalc.deciding.mixing import fresh_weight
    >>> parts = [0.0, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0]
    >>> ph = [5.1 + 1.5 * fresh_weight(part, 1.6) for part in parts]
    >>> print(f"{capacity_ratio(parts, ph, Scatter(0.05, 2)).n:.2f}")
    1.60
    """
    fraction = np.asarray(parts, dtype=np.float64)
    if len(np.unique(fraction)) < 3:
        return None
    values = np.array([nominal(each) for each in ph])
    grid = np.linspace(-FARTHEST, FARTHEST, _GRID)
    misfits = [_misfit(each, fraction, values) for each in grid]
    best = int(np.argmin(misfits))
    if best in (0, _GRID - 1):
        return None
    ln_r = _lowest(grid[best - 1], grid[best + 1], fraction, values)
    weight = _weight(fraction, ln_r)
    sides = np.column_stack([1.0 - weight, weight])
    (old, fresh), *_ = np.linalg.lstsq(sides, values, rcond=None)
    slope = weight * (1.0 - weight) * (fresh - old)
    design = np.column_stack([sides, slope])
    moved = [each + float(by) for each, by in zip(ph, slope * ln_r, strict=True)]
    try:
        found = scatter_fit(design, moved, expected, name="scatter of jars").coefficients[2]
    except Refusal:
        return None  # jars that tell nothing of it: columns that depend on each other, or too few
    if half_width(found) >= COVERAGE.value * LOG_FACTOR:
        return None
    ratio = exp(ln_r)
    return linear(ratio, {each: ratio * by for each, by in found.derivatives.items()})


def _weight(fraction: Floats, ln_r: float) -> Floats:
    r = exp(ln_r)
    return fraction * r / ((1.0 - fraction) + fraction * r)


def _misfit(ln_r: float, fraction: Floats, values: Floats) -> float:
    """Sum of squares that are left with the best bed and fresh mix for a ratio."""
    weight = _weight(fraction, ln_r)
    sides = np.column_stack([1.0 - weight, weight])
    best, *_ = np.linalg.lstsq(sides, values, rcond=None)
    rest = values - sides @ best
    return float(rest @ rest)


def _lowest(low: float, high: float, fraction: Floats, values: Floats) -> float:
    """Find the ratio of the smallest misfit by golden section."""
    golden = (5.0**0.5 - 1.0) / 2.0
    for _ in range(_STEPS):
        step = golden * (high - low)
        if _misfit(high - step, fraction, values) < _misfit(low + step, fraction, values):
            high = low + step
        else:
            low = high - step
    return (low + high) / 2.0
