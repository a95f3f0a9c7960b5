"""One slurry of three or more that lies by itself is found, and good ones seldom are."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from scipy import stats

from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.measuring.slurry.odd import chance, is_odd, lonely
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import linear

PAST = Scatter(0.05, 20)


def odd_share(n: int, expected: Scatter, draws: int, seed: int) -> float:
    """How often good slurries are called odd, their scatter drawn from what is expected."""
    rng = np.random.default_rng(seed)
    sd = expected.sd / np.sqrt(rng.chisquare(expected.dof, draws) / expected.dof)
    jars = 5.5 + sd[:, None] * rng.standard_normal((draws, n))
    return float(np.mean([is_odd(lonely(each), 0.0, expected) for each in jars]))


@pytest.mark.parametrize(
    ("expected", "share"), [(SLURRIES, 0.0096), (Scatter(0.05, 20), 0.0073), (Scatter(0.10, 20), 0.0089)]
)
def test_good_triples_are_called_odd_once_in_a_hundred(expected: Scatter, share: float) -> None:
    draws = 6000
    found = odd_share(3, expected, draws, 5)
    assert found == pytest.approx(share, abs=3.3 * sqrt(share / draws))
    assert found <= stats.binom.ppf(0.999, draws, 0.01) / draws


def test_a_slip_of_0_6_is_found_by_a_past_and_by_the_usual_expectation_only_where_it_is_larger() -> None:
    rng = np.random.default_rng(6)
    jars = 5.5 + 0.05 * rng.standard_normal((1000, 3))

    def found(off: float, expected: Scatter) -> float:
        slips = jars + np.array([off, 0.0, 0.0])
        return float(np.mean([is_odd(lonely(each), 1e-4, expected) for each in slips]))

    assert found(0.6, PAST) > 0.98
    assert found(0.6, Scatter(0.08, 4)) > 0.9
    assert found(0.6, SLURRIES) == 0.0
    assert found(1.0, SLURRIES) > 0.8


def test_what_is_tested_is_the_deleted_residual() -> None:
    one = lonely([5.50, 5.90, 5.53, 5.47])
    assert one is not None
    assert (one.place, one.others, round(one.mean, 3)) == (1, 3, 5.5)
    fit = scatter_fit(np.ones((3, 1)), [5.50, 5.53, 5.47], SLURRIES)
    next_one = fit.predict([1])
    p = 2.0 * stats.t.sf(abs(5.90 - next_one.n) / next_one.s, fit.dof)
    assert chance(one, 0.0, SLURRIES) == pytest.approx(4 * p, rel=1e-9)
    assert chance(one, 0.0, Scatter(0.05, inf)) == pytest.approx(
        4 * 2 * stats.norm.sf(0.4 / (0.05 * sqrt(4 / 3))), rel=1e-9
    )


@pytest.mark.parametrize(
    "jars",
    [
        [5.5],
        [5.5, 6.6],  # of two nobody can say which
        [5.2, 5.6, 6.0],  # evenly spread
        [5.50, 5.52, 6.10, 6.02],  # another agrees with it
        [5.50, 5.52, 6.10, 6.25],
        [5.50, 5.50, 5.64],  # no farther than good duplicates
    ],
)
def test_none_lies_by_itself(jars: list[float]) -> None:
    assert lonely(jars) is None
    assert slurry_ph(None, [linear(each, {}) for each in jars], expected=PAST).odd is None


def test_its_place_is_that_among_the_slurries_and_it_is_said_in_place_of_a_wide_spread() -> None:
    jars = [linear(each, {}) for each in (5.50, 6.12, 6.08, 5.52)]
    found = slurry_ph(None, jars, spots=["a", "b", "b", "c"], expected=PAST)
    assert (found.n, found.odd) == (3, 1)
    assert [remark.kind for remark in found.remarks] == ["odd-jar", "same-spots"]
    assert found.remarks[0].text.startswith("One slurry, pH 6.10, lies by itself, 0.59 above the other two")


def test_the_mean_of_a_day_with_one_is_covered_whether_it_was_a_slip_or_not() -> None:
    rng = np.random.default_rng(7)
    covered = {"slip": 0, "past alone": 0}
    for _ in range(300):
        values = 5.5 + 0.05 * rng.standard_normal(3) + np.array([0.6, 0.0, 0.0])
        found = slurry_ph(None, [linear(float(each), {}) for each in values], expected=PAST)
        assert found.odd == 0
        low, high = found.interval()
        covered["slip"] += low <= 5.5 <= high
        # It may be a patch of the bed: then the true mean lies at the mean of all.
        assert low <= 5.7 <= high
        believed = scatter_fit(np.ones((3, 1)), values.tolist(), PAST).coefficients[0]
        covered["past alone"] += abs(believed.n - 5.5) <= stats.t.ppf(0.975, 22) * believed.s
    assert covered["slip"] == 300
    assert covered["past alone"] < 30


def test_a_stated_scatter_stays_as_stated() -> None:
    found = slurry_ph(None, [linear(each, {}) for each in (5.50, 5.52, 6.10)], expected=Scatter(0.05, inf))
    assert found.odd == 2
    assert found.ph.s == pytest.approx(0.05 / sqrt(3))
