"""The straight line is that of ISO/TS 28037, and keeps its links to the points' sources."""

from __future__ import annotations

from math import nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats
from uncertainties import ufloat

from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import contributions, covariance


def test_iso_28037_equal_weights() -> None:
    # ISO/TS 28037:2010, weighted example with equal uncertainties
    line = straight_line([1, 2, 3, 4, 5, 6], [3.3, 5.6, 7.1, 9.3, 10.7, 12.1], u_y=0.5)
    assert (line.intercept.n, line.intercept.s) == pytest.approx((1.867, 0.465), abs=5e-4)
    assert (line.slope.n, line.slope.s) == pytest.approx((1.757, 0.120), abs=5e-4)
    assert covariance(line.intercept, line.slope) == pytest.approx(-0.050, abs=5e-4)
    assert (line.chi2, line.dof) == (pytest.approx(1.665, abs=5e-4), 4)
    x = line.inverse(ufloat(10.5, 0.5))
    assert (x.n, x.s) == pytest.approx((4.913, 0.322), abs=5e-4)


def test_iso_28037_both_uncertain() -> None:
    # ISO/TS 28037:2010, example with uncertainties in x and y
    line = straight_line(
        [1.2, 1.9, 2.9, 4.0, 4.7, 5.9],
        [3.4, 4.4, 7.2, 8.5, 10.8, 13.5],
        u_x=[0.2] * 6,
        u_y=[0.2, 0.2, 0.2, 0.4, 0.4, 0.4],
    )
    assert (line.intercept.n, line.intercept.s) == pytest.approx((0.5788, 0.4764), abs=5e-5)
    assert (line.slope.n, line.slope.s) == pytest.approx((2.1597, 0.1355), abs=5e-5)
    assert covariance(line.intercept, line.slope) == pytest.approx(-0.0577, abs=5e-5)
    assert (line.chi2, line.dof) == (pytest.approx(2.743, abs=5e-4), 4)
    assert line.p_value == pytest.approx(stats.chi2.sf(2.743, 4), abs=1e-4)


def test_gum_h3_thermometer() -> None:
    # JCGM 100:2008 (GUM) H.3: y1, u, y2, u, correlation, and the prediction at 30 degC (t0 = 20 degC)
    t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    line = straight_line([each - 20.0 for each in t], b)
    intercept, slope = line.intercept, line.slope
    assert (round(intercept.n, 4), round(intercept.s, 4)) == (-0.1712, 0.0029)
    assert (round(slope.n, 5), round(slope.s, 5)) == (0.00218, 0.00067)
    assert round(covariance(intercept, slope) / (intercept.s * slope.s), 3) == -0.930
    assert (round(line.at(10.0).n, 4), round(line.at(10.0).s, 4)) == (-0.1494, 0.0041)
    assert round(sqrt(sum(r**2 for r in line.residuals) / line.dof), 4) == 0.0035
    assert (line.dof, line.chi2, line.p_value) == (9, None, None)
    # H.3 has a type A uncertainty of 9 degrees of freedom
    assert half_width(slope) == pytest.approx(stats.t.ppf(0.975, 9) * slope.s, rel=1e-9)


@given(
    st.lists(st.tuples(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3)), min_size=3, max_size=9),
    st.floats(-3.0, 3.0).filter(lambda slope: abs(slope) > 0.5),
    st.floats(0.02, 0.2),
    st.floats(0.02, 0.2),
)
def test_with_uncertainties_all_alike_it_is_the_closed_form_of_deming(
    off: list[tuple[float, float]], slope: float, u_x: float, u_y: float
) -> None:
    # Deming, Statistical Adjustment of Data (1943): the exact minimum for a constant ratio of u_y to u_x
    x = np.array([i + a for i, (a, _) in enumerate(off)])
    y = np.array([2.0 + slope * i + b for i, (_, b) in enumerate(off)])
    ratio = (u_y / u_x) ** 2
    (s_xx, s_xy), (_, s_yy) = np.cov(x, y)
    excess = s_yy - ratio * s_xx
    b = (excess + sqrt(excess**2 + 4 * ratio * s_xy**2)) / (2 * s_xy)
    chi2 = np.sum((y - y.mean() - b * (x - x.mean())) ** 2) / (u_y**2 + b**2 * u_x**2)
    line = straight_line(x, y, u_x=u_x, u_y=u_y)
    assert line.slope.n == pytest.approx(b, rel=1e-7)
    assert line.intercept.n == pytest.approx(y.mean() - b * x.mean(), rel=1e-7, abs=1e-7)
    assert line.chi2 == pytest.approx(chi2, rel=1e-9, abs=1e-9)


def test_each_coefficient_follows_each_point() -> None:
    # the derivatives, against moving each point a little; y alone, where they are exact
    x, y, u = [0.0, 1.0, 3.0, 4.5], [2.0, 3.1, 4.9, 6.8], [0.1, 0.2, 0.1, 0.3]
    points = [ufloat(each, u_each) for each, u_each in zip(y, u, strict=True)]
    line = straight_line(x, points)
    for i, point in enumerate(points):
        moved = straight_line(x, [each + (1e-3 if j == i else 0.0) for j, each in enumerate(y)], u_y=u)
        assert line.slope.derivatives[point] == pytest.approx((moved.slope.n - line.slope.n) / 1e-3, rel=1e-6)
        change = (moved.intercept.n - line.intercept.n) / 1e-3
        assert line.intercept.derivatives[point] == pytest.approx(change, rel=1e-6, abs=1e-9)


def test_two_points_give_the_line_through_them_with_every_link() -> None:
    x1, x2 = ufloat(-3.0, 0.02), ufloat(0.0, 0.02)
    y1, y2 = ufloat(178.2, 0.3), ufloat(1.8, 0.3)
    line = straight_line([x1, x2], [y1, y2])
    slope = (y2 - y1) / (x2 - x1)
    assert line.slope.n == pytest.approx(slope.n, rel=1e-14)
    assert (line.slope - slope).s == pytest.approx(0.0, abs=1e-12)
    assert (line.intercept - (y1 - slope * x1)).s == pytest.approx(0.0, abs=1e-12)
    assert (line.dof, line.p_value) == (0, None)


def test_an_error_that_all_points_share_shifts_the_line_and_leaves_its_slope() -> None:
    shared = ufloat(0, 0.3)
    y = [each + ufloat(0, 0.1) + shared for each in (2.0, 3.9, 6.1, 8.0)]
    line = straight_line([1, 2, 3, 4], y)
    assert contributions(line.slope).get(shared, 0.0) == pytest.approx(0.0, abs=1e-14)
    assert contributions(line.intercept)[shared] == pytest.approx(0.3, rel=1e-12)


def test_an_error_that_moves_a_point_along_the_line_costs_nothing() -> None:
    # x and y of each point share an error that moves it along the line y = 1 + 2 x
    along = [ufloat(0, 0.3) for _ in range(3)]
    x = [i + each for i, each in enumerate(along)]
    y = [1 + 2 * i + 2 * each + ufloat(0, 0.1) for i, each in enumerate(along)]
    line = straight_line(x, y)
    plain = straight_line([0, 1, 2], [1, 3, 5], u_y=0.1)
    assert line.slope.s == pytest.approx(plain.slope.s, rel=1e-9)
    assert line.chi2 == pytest.approx(0.0, abs=1e-18)


def test_x_and_y_of_a_point_that_share_an_error_make_the_line_of_least_distance() -> None:
    # Reference: scipy.optimize on the likelihood itself, with each point's true place as an unknown.
    x, y = np.array([1.2, 1.9, 2.9, 4.0]), np.array([3.4, 4.4, 7.2, 8.5])
    u_x, u_y, both = np.array([0.2, 0.1, 0.3, 0.2]), np.array([0.2, 0.3, 0.1, 0.3]), [0.9, -0.8, 0.7, -0.5]
    xs, ys = [], []
    for at, shown, a, b, r in zip(x, y, u_x, u_y, both, strict=True):
        shared, own = ufloat(0.0, 1.0), ufloat(0.0, 1.0)
        xs.append(at + a * shared)
        ys.append(shown + b * (r * shared + sqrt(1 - r * r) * own))
    inverse = [
        np.linalg.inv([[a * a, r * a * b], [r * a * b, b * b]])
        for a, b, r in zip(u_x, u_y, both, strict=True)
    ]

    def distances(unknown: np.ndarray) -> np.ndarray:
        intercept, slope, *places = unknown
        off = np.array([x - places, y - intercept - slope * np.array(places)]).T
        return np.concatenate(
            [np.linalg.cholesky(v).T @ each for v, each in zip(inverse, off, strict=True)]
        )

    best = optimize.least_squares(distances, [1.0, 2.0, *x], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    line = straight_line(xs, ys)
    assert [line.intercept.n, line.slope.n] == pytest.approx(best.x[:2].tolist(), abs=1e-6)
    assert line.chi2 == pytest.approx(2 * best.cost, rel=1e-9)
    assert line.x_adjusted == pytest.approx(best.x[2:].tolist(), abs=1e-6)


@given(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3), st.floats(1e-3, 1e3))
def test_shifting_and_stretching_the_axes_changes_nothing_else(dx: float, dy: float, k: float) -> None:
    x, y = [1.2, 1.9, 2.9, 4.0, 4.7, 5.9], [3.4, 4.4, 7.2, 8.5, 10.8, 13.5]
    here = straight_line(x, y, u_x=0.2, u_y=0.3)
    there = straight_line([k * each + dx for each in x], [each + dy for each in y], u_x=0.2 * k, u_y=0.3)
    assert there.slope.n * k == pytest.approx(here.slope.n, rel=1e-8)
    assert there.slope.s * k == pytest.approx(here.slope.s, rel=1e-8)
    assert there.chi2 == pytest.approx(here.chi2, rel=1e-8)
    assert there.at(2.0 * k + dx).n - dy == pytest.approx(here.at(2.0).n, rel=1e-8)


def test_inverse_undoes_at() -> None:
    line = straight_line([1, 2, 3], [2.0, 4.1, 5.9], u_y=0.1)
    there = line.inverse(line.at(2.5))
    assert (there.n, there.s) == pytest.approx((2.5, 0.0), abs=1e-12)


def test_the_adjusted_points_lie_on_the_line_s_side_that_their_uncertainties_say() -> None:
    exact_x = straight_line([1, 2, 3], [2.0, 4.2, 5.9], u_y=0.1)
    assert exact_x.x_adjusted == (1.0, 2.0, 3.0)
    exact_y = straight_line([1, 2.1, 3], [2.0, 4.0, 6.0], u_x=0.1)
    on_line = [exact_y.at(x).n for x in exact_y.x_adjusted]
    assert on_line == pytest.approx([2.0, 4.0, 6.0], rel=1e-9)


@pytest.mark.parametrize(
    ("x", "y", "u_x", "u_y", "says"),
    [
        ([1], [2], None, 0.1, "two different x"),
        ([1, 1, 1], [2, 3, 4], None, 0.1, "two different x"),
        ([], [], None, None, "two different x"),
        ([1, 2], [2, 3, 4], None, 0.1, "2 values of x and 3 of y"),
        ([1, 2], [2, 3], None, None, "degrees of freedom"),
        ([1, 2, nan], [2, 3, 4], None, 0.1, "x of point 3 is `nan`"),
        ([1, 2, 3], [2, 3, 4], None, [0.1, 0.1], "2 uncertainties for 3 values of y"),
        ([1, 2, 3], [2, 3, 4], None, [0.1, 0.0, 0.1], "point 2 has no uncertainty"),
        ([1, 2, 3], [2, 3, 4], None, -0.1, "`-0.1`"),
        ([1, 2, 3], [2, 3, ufloat(4, 0.1)], None, 0.1, "y of point 3 has its own"),
    ],
)
def test_what_makes_no_line_is_refused(x: list, y: list, u_x: object, u_y: object, says: str) -> None:
    with pytest.raises(Refusal, match=says):
        straight_line(x, y, u_x, u_y)


def test_a_flat_line_has_no_inverse() -> None:
    with pytest.raises(Refusal, match="flat line"):
        straight_line([1, 2, 3], [5.0, 5.0, 5.0], u_y=0.1).inverse(5.0)
