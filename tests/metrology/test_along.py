"""Probabilities all along a line between two uncertain numbers are those of each place by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat
from uncertainties.core import Variable

from slurrycalc.metrology.along import Along
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.uncertain import Source

PLACES = np.linspace(0.0, 1.0, 11)


def scatter(u: float, name: str, dof: float) -> Variable:
    return Variable(0.0, u, tag=Source(name, name, "A", dof, name))


def one_by_one(start: object, step: object) -> list[float]:
    return [probability(start + float(w) * step, above=0.0) for w in PLACES]  # type: ignore[operator]


@pytest.mark.parametrize(("first", "second"), [(2, 2), (3, 5), (2, 30), (1, 1)])
def test_each_place_has_the_probability_that_it_has_alone(first: float, second: float) -> None:
    shared = ufloat(0.0, 0.03)
    now = 5.1 + scatter(0.10, "bed", first) + shared
    fresh = 6.6 + scatter(0.08, "mix", second) + shared + ufloat(0.0, 0.01)
    start, step = now - 5.9, fresh - now
    assert Along(start, step).above_zero(PLACES) == pytest.approx(one_by_one(start, step), abs=2e-4)


def test_a_group_that_both_share_counts_once() -> None:
    shared = scatter(0.1, "one bench", 2)
    start, step = -0.8 + shared, 1.5 - shared
    assert Along(start, step).above_zero(PLACES) == pytest.approx(one_by_one(start, step), abs=1e-5)


def test_more_than_two_groups_are_never_more_sure_than_they_may_be() -> None:
    start = -0.8 + scatter(0.08, "a", 2) + scatter(0.06, "b", 3) + scatter(0.04, "c", 4)
    likely = Along(start, 1.5).above_zero(PLACES)
    alone = np.array(one_by_one(start, 1.5))
    assert np.abs(likely - alone).max() < 0.02
    tail = alone > 0.9
    assert np.all(likely[tail] <= alone[tail] + 0.005)


def test_exact_numbers_step_from_0_to_1_and_count_as_reached_where_they_are_equal() -> None:
    line = Along(5.1 - 5.9, 6.6 - 5.1)
    assert line.above_zero([0.5, line.zero(), 0.6]).tolist() == [0.0, 1.0, 1.0]


def test_shapes_are_kept_and_a_line_that_stands_still_has_no_zero() -> None:
    assert Along(ufloat(1.0, 1.0), 2.0).above_zero([[0.0, 1.0], [2.0, 3.0]]).shape == (2, 2)
    assert Along(1.0, 0.0).zero() is None


@given(st.floats(-1, 1), st.floats(-2, 2), st.floats(0.01, 0.5), st.floats(0.01, 0.5))
def test_what_is_above_and_what_is_below_make_one(a: float, b: float, u: float, v: float) -> None:
    start, step = ufloat(a, u), b + scatter(v, "step", 3)
    both = Along(start, step).above_zero(PLACES) + Along(-start, -step).above_zero(PLACES)
    assert both == pytest.approx(np.ones_like(PLACES), abs=1e-9)
