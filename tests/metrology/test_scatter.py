"""Scatter, own and shared sources, and what was expected, each counted by its rule."""

from __future__ import annotations

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit
from slurrycalc.metrology.uncertain import Source, contributions, covariance, source_of

DUPLICATES = [5.40, 5.52]
MEAN = [[1], [1]]
readings = st.lists(st.floats(4.0, 8.0), min_size=2, max_size=8)


def mean_of(y: object, *args: object, **more: object) -> ScatterFit:
    return scatter_fit(np.ones((len(y), 1)), y, *args, **more)


def test_an_informative_type_a_evaluation() -> None:
    # closed form (computed): a scaled inverse chi-square prior worth nu0 gives t with nu0 + n - 1
    fit = mean_of(DUPLICATES, Scatter(0.10, 2))
    (mean,) = fit.coefficients
    assert mean.n == pytest.approx(5.46, rel=1e-15)
    assert fit.dof == 3
    assert fit.sd == pytest.approx(0.09522, abs=5e-6)
    assert half_width(mean) == pytest.approx(0.2143, abs=5e-5)
    assert fit.expected_share == pytest.approx(2 / 3)


@given(readings)
def test_alone_it_is_student_s_interval(y: list[float]) -> None:
    # scipy.stats as the reference
    expected = stats.t.ppf(0.975, len(y) - 1) * stats.sem(y)
    assert half_width(mean_of(y).coefficients[0]) == pytest.approx(expected, rel=1e-7, abs=1e-12)


def test_one_slurry_rests_on_the_expectation_alone() -> None:
    fit = mean_of([5.4], Scatter(0.10, 2))
    assert (fit.dof, fit.expected_share, fit.own_sd, fit.surprise, fit.scatter) == (2, 1.0, None, None, None)
    assert half_width(fit.coefficients[0]) == pytest.approx(0.10 * stats.t.ppf(0.975, 2), rel=1e-12)


def test_a_stated_scatter_is_taken_as_known() -> None:
    fit = mean_of(DUPLICATES, Scatter(0.05, inf))
    assert (fit.dof, fit.sd, fit.expected_share, fit.source.type) == (inf, 0.05, 1.0, "B")
    assert half_width(fit.coefficients[0]) == pytest.approx(0.05 / sqrt(2) * stats.norm.ppf(0.975), rel=1e-12)


def test_shared_sources_stay_whole_and_own_ones_are_left_to_the_residuals() -> None:
    bottle = ufloat(0, 0.02)
    own = [ufloat(0, 0.003) for _ in range(2)]
    y = [value + bottle + each for value, each in zip(DUPLICATES, own, strict=True)]
    fit = mean_of(y, Scatter(0.10, 2))
    (mean,) = fit.coefficients
    assert contributions(mean)[bottle] == pytest.approx(0.02, rel=1e-15)
    assert not set(own) & set(contributions(mean))
    assert fit.own_u == pytest.approx(0.003, rel=1e-15)
    # v = 0.003^2 joins the expected variance
    expected = sqrt((0.06**2 * 2 + 2 * (0.10**2 + 0.003**2)) / 3)
    assert fit.sd == pytest.approx(expected, rel=1e-12)
    assert mean.s == pytest.approx(sqrt(0.02**2 + expected**2 / 2), rel=1e-12)


def test_with_one_observation_every_source_is_shared() -> None:
    own = ufloat(0, 0.03)
    fit = mean_of([5.4 + own], Scatter(0.10, 2))
    assert contributions(fit.coefficients[0])[own] == 0.03
    assert fit.own_u == 0.0
    assert fit.sd == 0.10


def test_two_enclosures_under_one_calibration_differ_by_their_scatter_only() -> None:
    calibration = ufloat(0, 0.05)
    one = mean_of([5.4 + calibration, 5.5 + calibration], Scatter(0.10, 2))
    other = mean_of([6.1 + calibration, 6.0 + calibration], Scatter(0.10, 2))
    difference = one.coefficients[0] - other.coefficients[0]
    assert difference.s == pytest.approx(sqrt(one.sd**2 / 2 + other.sd**2 / 2), rel=1e-12)


def test_known_uncertainty_beats_a_scatter_that_happens_to_be_small() -> None:
    y = [5.40 + ufloat(0, 0.1), 5.401 + ufloat(0, 0.1), 5.402 + ufloat(0, 0.1)]
    fit = mean_of(y)
    assert (fit.dof, fit.source.type) == (inf, "B")
    assert fit.sd == pytest.approx(0.1, rel=1e-12)


def test_the_wider_of_scatter_and_known_uncertainty_wins() -> None:
    # s < own u, but worth so little that t(1) is wider than the normal
    y = [5.40 + ufloat(0, 0.1), 5.48 + ufloat(0, 0.1)]
    fit = mean_of(y)
    assert fit.dof == 1
    assert fit.sd == pytest.approx(0.08 / sqrt(2), rel=1e-12)
    assert stats.t.ppf(0.975, 1) * fit.sd > stats.norm.ppf(0.975) * 0.1


def test_a_display_counts_where_readings_tie() -> None:
    # JCGM 100:2008 (GUM) F.2.2.1: equal indications don't show that there is no scatter
    assert mean_of([5.4, 5.4]).sd == 0.0
    assert mean_of([5.4, 5.4], resolution=0.1).sd == pytest.approx(0.1 / sqrt(12), rel=1e-12)
    assert mean_of([5.4, 0.1 + 5.3], resolution=0.1).sd == pytest.approx(0.1 / sqrt(12), rel=1e-6)
    assert mean_of([5.4, 5.5], resolution=0.1).sd == mean_of([5.4, 5.5]).sd


def test_surprise_is_the_f_test_against_the_expectation() -> None:
    y = [5.0, 5.9, 5.3]
    ratio = np.var(y, ddof=1) / 0.10**2
    assert mean_of(y, Scatter(0.10, 4)).surprise == pytest.approx(stats.f.sf(ratio, 2, 4), rel=1e-9)
    assert mean_of(y, Scatter(0.10, inf)).surprise == pytest.approx(stats.chi2.sf(2 * ratio, 2), rel=1e-9)
    assert mean_of(y, Scatter(0.10, inf)).surprising
    assert not mean_of(DUPLICATES, Scatter(0.10, 2)).surprising
    assert mean_of(y).surprise is None


def test_a_new_observation_adds_its_scatter_in_the_same_group() -> None:
    fit = mean_of([5.4, 5.5, 5.9], name="slurries")
    new = fit.predict([1])
    # JCGM 101-style prediction: t(n - 1) with s sqrt(1 + 1/n)
    assert half_width(new) == pytest.approx(stats.t.ppf(0.975, 2) * fit.sd * sqrt(1 + 1 / 3), rel=1e-9)
    assert {source_of(v).group for v in new.derivatives} == {fit.source.group}
    assert covariance(new, fit.predict([1])) == pytest.approx(fit.sd**2 / 3, rel=1e-12)
    assert [row.name for row in budget(new).rows] == ["slurries, of one more observation", "slurries"]


def test_a_line_predicts_by_the_textbook_formula() -> None:
    # scipy.stats.linregress as the reference
    x, y = np.array([0.0, 1.0, 2.5, 4.0]), np.array([5.4, 5.3, 5.35, 5.0])
    fit = scatter_fit(np.column_stack([np.ones(4), x]), y)
    reference = stats.linregress(x, y)
    assert [c.n for c in fit.coefficients] == pytest.approx([reference.intercept, reference.slope], rel=1e-12)
    assert [c.s for c in fit.coefficients] == pytest.approx(
        [reference.intercept_stderr, reference.stderr], rel=1e-10
    )
    at = 7.0
    u = fit.sd * sqrt(1 / 4 + (at - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
    assert fit.level([1, at]).s == pytest.approx(u, rel=1e-12)


@given(readings, st.floats(0.01, 0.5), st.sampled_from([1.0, 2.0, 4.0]), st.permutations(list(range(8))))
def test_the_order_does_not_matter(y: list[float], sd: float, dof: float, order: list[int]) -> None:
    shuffled = [y[i] for i in order if i < len(y)]
    one, other = mean_of(y, Scatter(sd, dof)), mean_of(shuffled, Scatter(sd, dof))
    assert one.coefficients[0].n == pytest.approx(other.coefficients[0].n, rel=1e-13)
    assert one.sd == pytest.approx(other.sd, rel=1e-11)


@given(readings, st.floats(0.01, 0.5), st.floats(-100, 100).filter(lambda k: abs(k) > 1e-3))
def test_the_unit_does_not_matter(y: list[float], sd: float, k: float) -> None:
    here = mean_of(y, Scatter(sd, 2))
    there = mean_of([k * each for each in y], Scatter(abs(k) * sd, 2))
    assert there.coefficients[0].n == pytest.approx(k * here.coefficients[0].n, rel=1e-12)
    assert there.coefficients[0].s == pytest.approx(abs(k) * here.coefficients[0].s, rel=1e-9)


@given(st.floats(0.01, 1), st.floats(0.01, 1), st.floats(0.5, 20), st.floats(0.5, 20))
def test_scatters_pool_by_their_degrees_of_freedom(a: float, b: float, nu_a: float, nu_b: float) -> None:
    pooled = Scatter(a, nu_a) + Scatter(b, nu_b)
    assert pooled.dof == pytest.approx(nu_a + nu_b)
    assert pooled.sd**2 == pytest.approx((nu_a * a**2 + nu_b * b**2) / (nu_a + nu_b))
    assert pooled == Scatter(b, nu_b) + Scatter(a, nu_a)


def test_pooling_keeps_its_grounds_and_a_stated_value_wins() -> None:
    pooled = Scatter(0.1, 2, "memory", "our expectation") + Scatter(0.1, 3, "measured", "your slurries")
    assert (pooled.known, pooled.ground) == ("computed", "our expectation; your slurries")
    assert Scatter(0.1, 2) + Scatter(0.05, inf) == Scatter(0.05, inf)
    with pytest.raises(Refusal, match=r"0\.05 and 0\.1"):
        Scatter(0.05, inf) + Scatter(0.1, inf)


def test_what_today_says_of_the_scatter_can_be_pooled_with_tomorrow() -> None:
    y = [value + ufloat(0, 0.03) for value in DUPLICATES]
    fit = mean_of(y, Scatter(0.10, 2))
    assert fit.own_sd == pytest.approx(0.12 / sqrt(2), rel=1e-12)
    assert fit.scatter is not None
    assert fit.scatter.sd == pytest.approx(sqrt(0.12**2 / 2 - 0.03**2), rel=1e-12)
    assert (fit.scatter.dof, fit.scatter.known) == (1, "measured")


def test_the_budget_says_on_which_expectation_the_scatter_rests() -> None:
    (mean,) = mean_of(DUPLICATES, Scatter(0.10, 2, "memory", "our own expectation")).coefficients
    (row,) = budget(mean).rows
    assert (row.known, row.type, row.dof) == ("memory", "A", 3)
    assert row.ground == "1 degree of freedom from the observations, 2 expected: our own expectation"


def test_a_group_can_be_named() -> None:
    assert mean_of(DUPLICATES, group="atlas:4 May").source.group == "atlas:4 May"
    assert mean_of(DUPLICATES).source.group != mean_of(DUPLICATES).source.group


@pytest.mark.parametrize(
    ("X", "y", "expected", "says"),
    [
        ([[1]], [5.4], None, "degrees of freedom"),
        ([[1, 0], [1, 1]], [5.4, 5.5], None, "degrees of freedom"),
        ([[1]], [5.4], Scatter(0.1, 0.5), "0.5 degrees of freedom"),
        ([[1, 0]], [5.4], Scatter(0.1, 2), "2 coefficients"),
        ([[1, 2], [1, 2], [1, 2]], [5.4, 5.5, 5.6], None, "columns depend"),
        ([[0], [0]], [5.4, 5.5], None, "columns depend"),
        ([[1], [nan]], [5.4, 5.5], None, "not finite"),
        ([[1], [1]], [5.4, nan], None, "observation 2"),
        ([[1], [1], [1]], [5.4, 5.5], None, r"\(3, 1\)"),
        ([1, 1], [5.4, 5.5], None, r"\(2,\)"),
        ([], [], None, "0 observations"),
    ],
)
def test_what_cannot_be_fitted_is_refused(
    X: object, y: list[float], expected: Scatter | None, says: str
) -> None:
    with pytest.raises(Refusal, match=says):
        scatter_fit(X, y, expected)


@pytest.mark.parametrize(("sd", "dof"), [(-0.1, 2), (nan, 2), (inf, 2), (0.1, 0), (0.1, -1), (0.1, nan)])
def test_no_such_scatter(sd: float, dof: float) -> None:
    with pytest.raises(Refusal):
        Scatter(sd, dof)


def test_a_row_of_another_length_is_refused() -> None:
    with pytest.raises(Refusal, match="1 columns"):
        mean_of(DUPLICATES).level([1, 2])


def test_the_source_is_the_tag_of_the_scatter() -> None:
    fit = mean_of(DUPLICATES)
    (tag,) = {source_of(v) for v in fit.coefficients[0].derivatives}
    key = fit.source.key
    assert tag == fit.source == Source(key, "scatter", "A", 1, key, "measured", tag.ground)
