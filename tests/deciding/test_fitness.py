"""Whether a probe can be acted on alone."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from slurrycalc.deciding.fitness import fitness
from slurrycalc.measuring.probe import Comparison, compare
from slurrycalc.metrology.remark import Refusal


def pairs(n: int, sd: float, seed: int = 1, slope: float = 1.0) -> Comparison:
    rng = np.random.default_rng(seed)
    slurry = np.linspace(4.8, 6.6, n)
    probe = 6.1 + slope * (slurry - 5.7) + rng.normal(0.0, sd, n)
    return compare(probe.tolist(), slurry.tolist())


def test_a_probe_that_scatters_little_over_many_pairs_is_fit() -> None:
    found = fitness(pairs(30, 0.05))
    assert found.state == "fit"
    assert found.tells_floor_from_edge
    assert found.half_width < found.gap == pytest.approx(0.4)
    assert found.text.startswith("Alone it can tell the floor, 5.0, from the target's edge, 5.4")


def test_a_field_probe_is_not_and_no_number_of_pairs_makes_it_so() -> None:
    found = fitness(pairs(30, 0.35))
    assert found.state == "not fit"
    assert found.at_best > found.gap
    assert "More pairs will hardly help" in found.text


def test_few_pairs_of_a_good_probe_leave_it_unfit_and_say_that_more_may_help() -> None:
    found = fitness(pairs(6, 0.05))
    assert found.state == "not fit"
    assert found.at_best < found.gap
    assert "many more pairs" in found.text


def test_a_probe_that_was_not_seen_to_respond_is_not_fit_whatever_its_figures() -> None:
    steady = compare([6.0 + 0.01 * (i % 3) for i in range(40)], [5.5 + 0.01 * (i % 4) for i in range(40)])
    found = fitness(steady)
    assert found.tells_floor_from_edge
    assert found.state == "not shown"
    assert "cannot be trusted alone" in found.text


def test_a_probe_that_stands_still_is_not_fit_by_a_line() -> None:
    assert fitness(pairs(30, 0.02, slope=0.1)).state == "not shown"


def test_the_smallest_difference_is_that_of_two_new_indications() -> None:
    comparison = pairs(4, 0.1)
    found = fitness(comparison)
    t = float(stats.t.ppf(0.975, comparison.scatter_dof))
    assert found.smallest_difference == pytest.approx(t * sqrt(2) * comparison.scatter_sd, rel=1e-9)


def test_what_many_pairs_would_leave_is_the_normal_quantile_of_the_scatter() -> None:
    comparison = pairs(4, 0.1)
    assert comparison.spread is not None
    assert fitness(comparison).at_best == pytest.approx(1.959964 * comparison.spread, rel=1e-6)
    # Two pairs say too little of their scatter: then it is the one that the intervals use.
    two = compare([5.9, 6.1], [5.4, 5.7])
    assert fitness(two).at_best == pytest.approx(1.959964 * two.scatter_sd, rel=1e-6)


@given(st.floats(0.55, 0.98), st.floats(0.001, 0.019))
def test_every_figure_grows_with_p(p: float, more: float) -> None:
    comparison = pairs(5, 0.2)
    easy, hard = fitness(comparison, p=p), fitness(comparison, p=p + more)
    assert hard.half_width > easy.half_width
    assert hard.smallest_difference > easy.smallest_difference
    assert hard.at_best > easy.at_best


def test_a_fit_probe_s_indication_at_the_edge_excludes_the_floor() -> None:
    comparison = pairs(30, 0.05)
    middle = float(np.mean(comparison.probe))
    meant = comparison.correct(middle)
    edge = meant.ph.n
    found = fitness(comparison, target=(edge, edge + 1), floor=edge - 0.2)
    assert found.tells_floor_from_edge == (meant.coverage_interval.low > edge - 0.2)


def test_limits_out_of_order_are_refused() -> None:
    with pytest.raises(Refusal, match="above the range's lower edge"):
        fitness(pairs(5, 0.1), floor=5.9)


def test_a_line_is_judged_at_the_target_s_edge_and_not_where_its_pairs_lie() -> None:
    rng = np.random.default_rng(1)
    slurry = np.linspace(6.0, 7.4, 12)
    comparison = compare((6.0 + 0.5 * (slurry - 6.0) + rng.normal(0.0, 0.03, 12)).tolist(), slurry.tolist())
    assert comparison.way == "line"
    found = fitness(comparison)
    at_edge = comparison.correct(comparison.indication_of(5.4))
    assert at_edge.ph.n == pytest.approx(5.4, abs=1e-9)
    assert found.half_width == pytest.approx(at_edge.coverage_interval.half_width, rel=1e-12)
    in_the_middle = comparison.correct(float(np.mean(comparison.probe))).coverage_interval.half_width
    assert in_the_middle < found.gap < found.half_width
    assert found.state == "not fit"


def test_an_offset_means_the_same_everywhere() -> None:
    comparison = pairs(30, 0.05)
    assert comparison.way == "offset"
    assert comparison.correct(comparison.indication_of(5.4)).ph.n == pytest.approx(5.4, abs=1e-9)
