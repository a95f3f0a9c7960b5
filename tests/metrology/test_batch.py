"""Many observations as arrays give what separate numbers give."""

from __future__ import annotations

from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.metrology.batch import NO_LOADINGS, Batch, Loadings
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import contributions, covariance


def columns(entries: list[tuple[int, int, float]]) -> Loadings:
    row, col, weight = zip(*entries, strict=True) if entries else ((), (), ())
    return Loadings(np.array(row, np.intp), np.array(col, np.intp), np.array(weight, float))


@given(
    st.integers(3, 7).flatmap(
        lambda n: st.tuples(
            st.lists(st.floats(4.0, 8.0), min_size=n, max_size=n),
            st.lists(st.floats(0.0, 0.2), min_size=n, max_size=n),
            st.lists(
                st.tuples(st.integers(0, n - 1), st.integers(0, 4), st.floats(-2.0, 2.0)), max_size=12
            ),
        )
    ),
    st.sampled_from([None, Scatter(0.1, 2), Scatter(0.1, inf)]),
)
@settings(max_examples=60)
def test_a_batch_and_separate_numbers_give_the_same_fit(
    drawn: tuple[list[float], list[float], list[tuple[int, int, float]]], expected: Scatter | None
) -> None:
    values, own_u, entries = drawn
    inputs = tuple(ufloat(0, u) for u in (0.02, 0.05, 0.1, 0.3, 0.7))
    numbers = []
    for i, (value, u) in enumerate(zip(values, own_u, strict=True)):
        shared = sum(weight * inputs[col] for row, col, weight in entries if row == i)
        numbers.append(value + shared + (ufloat(0, u) if u else 0.0))
    batch = Batch(np.array(values), np.array(own_u), columns(entries), inputs)
    X = np.column_stack([np.ones(len(values)), np.arange(len(values))])
    one, other = scatter_fit(X, numbers, expected), scatter_fit(X, batch, expected)
    assert one.dof == other.dof
    assert one.sd == pytest.approx(other.sd, rel=1e-12)
    assert one.own_u == pytest.approx(other.own_u, rel=1e-12, abs=1e-15)
    for a, b in zip(one.coefficients, other.coefficients, strict=True):
        assert a.n == pytest.approx(b.n, rel=1e-12, abs=1e-12)
        assert a.s == pytest.approx(b.s, rel=1e-12)
        of_a, of_b = contributions(a), contributions(b)
        for each in inputs:
            assert of_a.get(each, 0.0) == pytest.approx(of_b.get(each, 0.0), rel=1e-12, abs=1e-14)


def test_numbers_come_back_out_with_their_links() -> None:
    junction = ufloat(0, 0.02)
    numbers = [5.4 + junction + ufloat(0, 0.1), 5.6 - 2 * junction, 6.0]
    batch = Batch.of(numbers)
    assert len(batch) == 3
    for i, number in enumerate(numbers):
        back = batch.number(i)
        assert (back.n, back.s) == pytest.approx((getattr(number, "n", number), getattr(number, "s", 0.0)))
        assert covariance(back, junction) == pytest.approx(covariance(number, junction), abs=1e-18)


def test_what_touches_one_of_many_is_its_own_and_of_one_alone_keeps_its_name() -> None:
    error = ufloat(0, 0.1)
    assert Batch.of([5.4 + error, 5.5]).inputs == ()
    assert Batch.of([5.4 + error, 5.5]).own_u.tolist() == [0.1, 0.0]
    assert Batch.of([5.4 + error]).inputs[0] is error


def test_an_input_named_by_one_row_only_counts_as_that_row_s_own() -> None:
    bottle = ufloat(0, 0.02)
    loadings = columns([(0, 0, 1.0), (0, 0, 1.0)])
    fit = scatter_fit(np.ones((3, 1)), Batch(np.array([5.4, 5.5, 5.9]), np.zeros(3), loadings, (bottle,)))
    assert bottle not in contributions(fit.coefficients[0])
    assert fit.own_u == pytest.approx(0.04 / 3**0.5, rel=1e-12)


def test_loadings_that_cancel_in_a_row_do_not_touch_it() -> None:
    bottle = ufloat(0, 0.02)
    left = [(1, 0, 0.4)]

    def own_u(entries: list[tuple[int, int, float]]) -> float:
        batch = Batch(np.array([5.4, 5.5, 5.9]), np.zeros(3), columns(entries), (bottle,))
        return scatter_fit(np.ones((3, 1)), batch).own_u

    assert own_u([(0, 0, 1.5), *left, (0, 0, -1.5)]) == own_u(left) == pytest.approx(0.008 / 3**0.5)


def test_one_row_keeps_all_of_its_sources() -> None:
    bottle = ufloat(0, 0.02)
    batch = Batch(np.array([5.4]), np.array([0.03]), columns([(0, 0, 2.0)]), (bottle,))
    (mean,) = scatter_fit([[1]], batch, Scatter(0.0, inf)).coefficients
    assert contributions(mean)[bottle] == pytest.approx(0.04)
    assert mean.s == pytest.approx(0.05)


one, two = np.ones(1), np.ones(2)


@pytest.mark.parametrize(
    ("values", "own_u", "loadings", "inputs"),
    [
        (two, one, NO_LOADINGS, 0),
        (np.ones((2, 2)), two, NO_LOADINGS, 0),
        (one, -one, NO_LOADINGS, 0),
        (one * nan, one, NO_LOADINGS, 0),
        (one, one * inf, NO_LOADINGS, 0),
        (one, one, columns([(1, 0, 1.0)]), 1),
        (one, one, columns([(0, 1, 1.0)]), 1),
        (one, one, columns([(-1, 0, 1.0)]), 1),
        (one, one, columns([(0, 0, nan)]), 1),
        (one, one, Loadings(np.zeros(1, np.intp), np.zeros(2, np.intp), one), 1),
    ],
)
def test_what_does_not_fit_together_is_refused(
    values: np.ndarray, own_u: np.ndarray, loadings: Loadings, inputs: int
) -> None:
    with pytest.raises(Refusal):
        Batch(values, own_u, loadings, tuple(ufloat(0, 0.1) for _ in range(inputs)))


def test_a_missing_value_is_named() -> None:
    with pytest.raises(Refusal, match="observation 2 is `nan`"):
        Batch.of([5.4, nan])
