"""The promise: an interval covers the truth as often as it says, from one or two observations on.

For normal scatter the error of a mean or a trend is independent of the residuals about it, so that coverage
is an average over the residual sum of squares alone. Every interval comes from the product's own fit.
"""

from __future__ import annotations

import sys
from math import erf, sqrt
from pathlib import Path

import numpy as np
import pytest
from scipy import special, stats
from uncertainties import UFloat, ufloat

# Another package's "tests" may shadow this folder's name, so its helper is found by its own.
sys.path.insert(0, str(Path(__file__).parents[1]))

from printed import printed_table

from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit

SLURRIES = Scatter(0.10, 2)
SHARED = 0.03  # about a two-buffer calibration with its junction potential
STEPS = 200


def fit_with_residuals(X: np.ndarray, size: float, shared: UFloat | float) -> ScatterFit:
    """Fit observations whose residual sum of squares is size squared."""
    n, p = X.shape
    y = np.zeros(n)
    if n > p:
        y = np.linalg.svd(X)[0][:, p:].sum(axis=1)
        y *= size / np.linalg.norm(y)
    return scatter_fit(X, [5.5 + each + shared for each in y], SLURRIES)


def fits(X: np.ndarray, sigma: float, shared: UFloat | float) -> list[ScatterFit]:
    """Fits whose residual sums of squares are equally likely for a true scatter sigma."""
    n, p = X.shape
    if n == p:
        return [fit_with_residuals(X, 0.0, shared)]
    sizes = sigma * np.sqrt(stats.chi2.ppf((np.arange(STEPS) + 0.5) / STEPS, n - p))
    return [fit_with_residuals(X, size, shared) for size in sizes]


def covered(half_widths: list[float], sd: float) -> float:
    return float(np.mean([erf(h / (sd * sqrt(2))) for h in half_widths]))


# As printed: of the full chain's worst bench, by the true scatter of slurries. Without the electrode it
# differs a little.
SCATTERS, ENCLOSURE = printed_table("slurries")


@pytest.mark.parametrize("n", ENCLOSURE)
def test_the_mean_of_slurries_covers_as_printed(n: str) -> None:
    for sigma, stated in zip(map(float, SCATTERS[:5]), map(float, ENCLOSURE[n][:5]), strict=True):
        found = fits(np.ones((int(n), 1)), sigma, ufloat(0, SHARED))
        mean = covered([half_width(f.coefficients[0]) for f in found], sqrt(sigma**2 / int(n) + SHARED**2))
        assert stated - 0.008 <= mean <= stated + 0.013


# The same for a trend under shared bottles: worst of slope, level and prediction three months on.
DAYS, TREND = printed_table("days")


@pytest.mark.parametrize("row", TREND)
def test_a_trend_under_a_shared_bottle_covers_as_printed(row: str) -> None:
    days = int(row)
    X = np.column_stack([np.ones(days), np.arange(days)])
    covariance = np.linalg.inv(X.T @ X)
    later = np.array([1.0, days + 2.0])
    q = later @ covariance @ later
    for sigma, stated in zip(map(float, DAYS), map(float, TREND[row]), strict=True):
        found = fits(X, sigma, ufloat(0, SHARED))
        slope = covered([half_width(f.coefficients[1]) for f in found], sigma * sqrt(covariance[1, 1]))
        level = covered([half_width(f.level(later)) for f in found], sqrt(sigma**2 * q + SHARED**2))
        new = covered([half_width(f.predict(later)) for f in found], sqrt(sigma**2 * (1 + q) + SHARED**2))
        assert stated - 0.008 <= min(slope, level, new) <= stated + 0.013


@pytest.mark.parametrize("n", [1, 2, 3, 5])
@pytest.mark.parametrize("shared_u", [0.0, SHARED, 0.15])
def test_ninety_five_in_a_hundred_where_scatter_is_as_expected(n: int, shared_u: float) -> None:
    # true variances drawn from what Scatter(0.10, 2) says: 2 * 0.10^2 / chi2(2)
    rng = np.random.default_rng(20240513)
    draws = 200_000
    shared = ufloat(0, shared_u) if shared_u else 0.0
    grid = np.geomspace(1e-4, 1e3, 300)
    found = [fit_with_residuals(np.ones((n, 1)), size, shared) for size in grid]
    widths = [half_width(fit.coefficients[0]) for fit in found]
    sigma = 0.10 * np.sqrt(2 / rng.chisquare(2, draws))
    size = sigma * np.sqrt(rng.chisquare(n - 1, draws)) if n > 1 else np.full(draws, grid[0])
    inside = special.erf(np.interp(size, grid, widths) / np.sqrt(2 * (sigma**2 / n + shared_u**2)))
    assert inside.mean() == pytest.approx(0.95, abs=4 * inside.std() / sqrt(draws))


@pytest.mark.parametrize("n", [1, 2, 3, 4, 5, 6, 8, 12, 20])
@pytest.mark.parametrize(("worse", "promised"), [(1.5, 0.93), (2.0, 0.90)])
def test_scatter_of_one_and_a_half_or_twice_the_expected_still_leaves_most(
    n: int, worse: float, promised: float
) -> None:
    for X in (np.ones((n, 1)), np.column_stack([np.ones(n), np.arange(n)])):
        if len(X) >= X.shape[1]:
            q = np.linalg.inv(X.T @ X)[-1, -1]
            found = fits(X, worse * 0.10, 0.0)
            widths = [half_width(f.coefficients[-1]) for f in found]
            assert covered(widths, worse * 0.10 * sqrt(q)) >= promised


@pytest.mark.parametrize(("n", "sigma"), [(2, 0.02), (2, 0.3), (3, 0.1), (6, 0.05)])
def test_the_keeper_s_own_data_alone_are_student_s_t_exactly(n: int, sigma: float) -> None:
    rng = np.random.default_rng(20240504)
    draws = 3000
    inside = 0
    for y in 5.6 + sigma * rng.standard_normal((draws, n)):
        (mean,) = scatter_fit(np.ones((n, 1)), y).coefficients
        inside += abs(mean.n - 5.6) <= half_width(mean)
    assert abs(inside / draws - 0.95) <= 4 * sqrt(0.95 * 0.05 / draws)


@pytest.mark.parametrize(("n", "sigma"), [(2, 0.0), (2, 0.02), (3, 0.02), (4, 0.2)])
def test_own_data_with_known_uncertainties_cover_too(n: int, sigma: float) -> None:
    # own readings known to 0.01 and a calibration shared by all, known to 0.03
    rng = np.random.default_rng(20240505)
    draws = 2000
    own, shared = [ufloat(0, 0.01) for _ in range(n)], ufloat(0, SHARED)
    inside = 0
    for _ in range(draws):
        y = 5.6 + rng.standard_normal(n) * sqrt(sigma**2 + 0.01**2) + rng.standard_normal() * SHARED
        (mean,) = scatter_fit(
            np.ones((n, 1)), [value + each + shared for value, each in zip(y, own, strict=True)]
        ).coefficients
        inside += abs(mean.n - 5.6) <= half_width(mean)
    assert inside / draws >= 0.946 - 4 * sqrt(0.95 * 0.05 / draws)
