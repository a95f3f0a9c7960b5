"""Intervals and probabilities are those of the true distribution of the error, in every corner."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special, stats
from uncertainties import ufloat

from slurrycalc.metrology import coverage
from slurrycalc.metrology.coverage import Interval, half_width, interval, mixture_of_normals, probability
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Source, fresh_key

Groups = list[tuple[float, float]]

CORNERS = [
    ([(1.0, 1)], 1.0),
    ([(1.0, 1)], 1e-3),
    ([(1e-3, 1)], 1.0),
    ([(0.05, 2)], 0.03),
    ([(1.0, 1.5)], 0.4),
    ([(0.1, 1000)], 0.1),
    ([(1.0, 1), (1.0, 1)], 0.0),
    ([(1.0, 1), (1e-3, 1)], 1e-3),
    ([(0.05, 2), (0.03, 5)], 0.02),
    ([(1e-3, 2), (1e-3, 5)], 1.0),
    ([(0.1, 2), (0.2, 3), (0.05, 5), (0.1, 1)], 0.1),
    ([(1.0, 1), (1.0, 2), (1.0, 3), (1.0, 4), (1.0, 5), (1.0, 6)], 1.0),
]


def number(groups: Groups, sigma: float, value: float = 0.0) -> object:
    errors = [ufloat(0.0, c, tag=Source(fresh_key("g"), "group", "A", nu)) for c, nu in groups]
    return sum(errors, ufloat(value, sigma) if sigma else value)


@contextmanager
def finer(monkeypatch: pytest.MonkeyPatch, times: int) -> Iterator[None]:
    def forget() -> None:
        for cached in (coverage.mixture_of_normals, coverage._half_width, coverage._wide_range):
            cached.cache_clear()

    with monkeypatch.context() as patch:
        patch.setattr(coverage, "MIXTURE_POINTS", times * coverage.MIXTURE_POINTS)
        patch.setattr(coverage, "FOURIER_POINTS", times * coverage.FOURIER_POINTS)
        forget()
        yield
    forget()


@pytest.mark.parametrize(("groups", "sigma"), CORNERS)
def test_four_times_the_points_change_nothing(
    groups: Groups, sigma: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    x = number(groups, sigma)
    for p in (0.5, 0.95, 0.999):
        plain, low = half_width(x, p), probability(x, below=-0.7)
        with finer(monkeypatch, 4):
            assert plain == pytest.approx(half_width(x, p), rel=1e-6)
            assert low == pytest.approx(probability(x, below=-0.7), rel=1e-5, abs=1e-9)


@pytest.mark.parametrize(("groups", "sigma"), CORNERS)
@pytest.mark.parametrize("p", [0.5, 0.95, 0.999])
def test_draws_fall_inside_as_often_as_said(groups: Groups, sigma: float, p: float) -> None:
    rng = np.random.default_rng(20240504)
    n = 400_000
    error = sigma * rng.standard_normal(n)
    for c, nu in groups:
        error += c * rng.standard_t(nu, n)
    inside = np.mean(np.abs(error) <= half_width(number(groups, sigma), p))
    assert abs(inside - p) < 4 * sqrt(p * (1 - p) / n)


# Check values: quadrature against 4e6 Monte Carlo draws (computed), to 0.2 %
@pytest.mark.parametrize(
    ("groups", "sigma", "expected"),
    [([(0.05, 2)], 0.03, 0.2209), ([(0.05, 2), (0.03, 5)], 0.02, 0.2293)],
)
def test_t_plus_normal(groups: Groups, sigma: float, expected: float) -> None:
    assert half_width(number(groups, sigma)) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("p", [0.1, 0.5, 0.95, 0.999])
def test_a_sum_of_cauchy_errors_is_a_cauchy_error(p: float) -> None:
    # t(1) is the Cauchy distribution, which adds by its scales: an exact answer for several groups
    exact = 1.9 * np.tan(np.pi * p / 2)
    assert half_width(number([(1.0, 1), (0.5, 1), (0.4, 1)], 0.0), p) == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize("limit", [0.3, 1.0, 7.0])
def test_cauchy_plus_normal_is_the_voigt_profile(limit: float) -> None:
    # an exact density from elsewhere, scipy.special.voigt_profile, for one group and a normal part
    inside = 2 * integrate.quad(special.voigt_profile, 0, limit, args=(0.7, 0.4), epsabs=1e-12)[0]
    x = number([(0.4, 1)], 0.7)
    assert probability(x, above=-limit, below=limit) == pytest.approx(inside, abs=1e-8)


@pytest.mark.parametrize("nu", [1, 2, 3.3, 30, 1e5])
@pytest.mark.parametrize("p", [0.5, 0.95, 0.999])
def test_one_group_alone_is_student_s_t_and_none_is_normal(nu: float, p: float) -> None:
    t, z = stats.t.ppf((1 + p) / 2, nu), stats.norm.ppf((1 + p) / 2)
    assert half_width(number([(0.3, nu)], 0.0), p) == pytest.approx(0.3 * t, rel=1e-9)
    assert half_width(number([], 0.3), p) == pytest.approx(0.3 * z, rel=1e-12)


@pytest.mark.parametrize("nu", [1, 2, 8, 1e4, 1e7])
def test_the_mixture_of_normals_is_student_s_t(nu: float) -> None:
    variance, weight = mixture_of_normals(nu)
    for limit in (0.1, 1.0, 3.0, 10.0):
        tail = weight @ special.erfc(limit / np.sqrt(2 * variance))
        assert tail == pytest.approx(2 * stats.t.sf(limit, nu), rel=1e-6, abs=1e-13)


def test_tails_far_outside_keep_their_digits() -> None:
    # stats.t and stats.norm as the reference; a limit far out must not drown in 1 - 1
    assert probability(ufloat(5.6, 0.05), below=5.0) == pytest.approx(stats.norm.cdf(-12), rel=1e-9)
    one = number([(0.1, 2)], 0.0, 5.6)
    assert probability(one, below=0.6) == pytest.approx(stats.t.cdf(-50, 2), rel=1e-9)
    many = number([(0.1, 1), (0.1, 1)], 0.0, 5.6)
    assert probability(many, above=1000.0) == pytest.approx(stats.cauchy.sf(994.4 / 0.2), rel=1e-4)


@given(
    st.lists(st.tuples(st.floats(1e-3, 1.0), st.floats(1.0, 60.0)), max_size=3),
    st.floats(1e-3, 1.0),
    st.floats(0.3, 0.998),
)
def test_the_probability_of_the_interval_is_p(groups: Groups, sigma: float, p: float) -> None:
    x = number(groups, sigma, 5.5)
    low, high = interval(x, p)
    assert probability(x, above=low, below=high) == pytest.approx(p, abs=1e-7)
    assert probability(x, below=low) == pytest.approx(probability(x, above=high), rel=1e-6)
    assert probability(x, below=low) + probability(x, above=low) == pytest.approx(1.0, abs=1e-12)


@given(
    st.lists(st.tuples(st.floats(1e-3, 1.0), st.floats(1.0, 60.0)), max_size=3),
    st.floats(1e-3, 1.0),
    st.floats(0.05, 0.99),
    st.data(),
)
def test_the_interval_grows_with_p_and_with_every_u(
    groups: Groups, sigma: float, p: float, data: st.DataObject
) -> None:
    h = half_width(number(groups, sigma), p)
    assert half_width(number(groups, sigma), p + 0.005) > h
    grown = [*groups, (sigma, inf)]
    i = data.draw(st.integers(0, len(groups)))
    grown[i] = (1.5 * grown[i][0], grown[i][1])
    assert half_width(number(grown[:-1], grown[-1][0]), p) > h


@given(st.floats(1e-3, 1.0), st.floats(1e-3, 1.0), st.floats(1.0, 60.0), st.floats(1e-6, 1e6))
def test_the_unit_does_not_matter(c: float, sigma: float, nu: float, unit: float) -> None:
    there = half_width(number([(c * unit, nu), (c * unit, nu + 1)], sigma * unit))
    assert there == pytest.approx(unit * half_width(number([(c, nu), (c, nu + 1)], sigma)), rel=1e-8)


def test_what_shares_an_estimate_of_scatter_is_one_group() -> None:
    source = Source("fit", "scatter", "A", 2, "fit")
    together = ufloat(0, 0.03, tag=source) + ufloat(0, 0.04, tag=source)
    assert half_width(together) == pytest.approx(half_width(number([(0.05, 2)], 0.0)), rel=1e-14)


def test_an_exact_number_has_no_width() -> None:
    for exact in (5.6, 5, ufloat(5.6, 0.1) * 0 + 5.6):
        value = float(getattr(exact, "n", exact))
        assert interval(exact) == Interval(value, value)
        assert half_width(exact, 0.999) == 0.0


def test_an_exact_number_is_on_one_side_of_every_limit() -> None:
    assert probability(5.6, below=5.5) == 0.0
    assert probability(5.6, above=5.5) == 1.0
    # at the limit: above it and inside, so that the two sides make up one
    assert probability(5.0, below=5.0) == 0.0
    assert probability(5.0, above=5.0) == 1.0
    assert probability(5.4, above=5.4, below=6.5) == probability(6.5, above=5.4, below=6.5) == 1.0


@pytest.mark.parametrize("p", [0.0, 1.0, -0.1, 95.0, nan])
def test_no_probability_is_refused_and_quoted(p: float) -> None:
    with pytest.raises(Refusal, match=f"`{p:g}`"):
        interval(ufloat(5.6, 0.1), p)


@pytest.mark.parametrize("limits", [{}, {"below": nan}, {"above": inf}, {"above": 6.5, "below": 5.4}])
def test_limits_that_cannot_stand_are_refused(limits: dict[str, float]) -> None:
    with pytest.raises(Refusal):
        probability(ufloat(5.6, 0.1), **limits)


def test_conformance_beyond_a_one_sided_limit() -> None:
    # JCGM 106:2012: 0.92 beyond a limit that is 1.4 u away (from memory)
    assert probability(ufloat(5.14, 0.1), above=5.0) == pytest.approx(0.919, abs=5e-4)


def test_interval_says_its_half_width() -> None:
    assert interval(ufloat(5.6, 0.1)).half_width == pytest.approx(half_width(ufloat(5.6, 0.1)), rel=1e-12)
