"""Inputs keep their identity and say what they are; what two numbers share cancels exactly."""

from __future__ import annotations

import warnings
from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import covariance_matrix, ufloat

from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import (
    Inputs,
    Parts,
    Source,
    contributions,
    covariance,
    fresh_key,
    from_resolution,
    linear,
    nameless,
    parts,
    rectangular,
    source_of,
)

u_positive = st.floats(1e-4, 1.0)


def scatter(u: float, dof: float, group: str | None = None) -> object:
    return ufloat(0.0, u, tag=Source(fresh_key("scatter"), "scatter", "A", dof, group))


def test_one_thing_is_one_error_however_often_it_is_met() -> None:
    inputs = Inputs()
    march = 4.01 + inputs.variable(0.0115, Source("bottle:3", "buffer 4.01"))
    april = 4.02 + inputs.variable(0.0115, Source("bottle:3", "buffer 4.01", ground="met again"))
    assert (april - march).s == 0.0
    assert len(inputs) == 1


def test_two_things_are_two_errors() -> None:
    inputs = Inputs()
    one, other = (inputs.variable(0.3, Source(key, key)) for key in ("bottle:3", "bottle:4"))
    assert (one - other).s == pytest.approx(0.3 * sqrt(2), rel=1e-15)


def test_two_maps_share_nothing() -> None:
    source = Source("bottle:3", "buffer 4.01")
    assert (Inputs().variable(0.3, source) - Inputs().variable(0.3, source)).s > 0.4


def test_a_key_given_for_a_second_thing_is_refused() -> None:
    inputs = Inputs()
    inputs.variable(0.1, Source("bottle:3", "buffer 4.01"))
    with pytest.raises(Refusal, match="bottle:3"):
        inputs.variable(0.1, Source("bottle:3", "buffer 4.01"), value=4.01)
    with pytest.raises(Refusal, match="bottle:3"):
        inputs.variable(0.1, Source("bottle:3", "buffer 4.01", "A", dof=3))


@pytest.mark.parametrize("u", [-0.1, nan, inf])
def test_an_impossible_uncertainty_is_refused_and_quoted(u: float) -> None:
    with pytest.raises(Refusal, match=f"`{u:g}`"):
        Inputs().variable(u, Source("a", "a"))
    with pytest.raises(Refusal, match=f"`{u:g}`"):
        nameless(u, "a")


@pytest.mark.parametrize("dof", [0.0, -1.0, 0.99, nan])
def test_fewer_than_one_degree_of_freedom_is_refused(dof: float) -> None:
    with pytest.raises(Refusal, match="degrees of freedom"):
        Source("a", "a", "A", dof)


def test_an_exact_input_makes_no_warning_and_no_part() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        exact = 4.01 + Inputs().variable(0.0, Source("bottle:3", "buffer 4.01"))
    assert parts(exact) == Parts(0.0, ())
    assert contributions(exact) == {}


def test_a_number_without_tags_is_type_b_with_infinite_degrees_of_freedom() -> None:
    source = source_of(ufloat(5.6, 0.1))
    assert (source.type, source.dof, source.group) == ("B", inf, None)
    assert parts(ufloat(5.6, 0.1)) == Parts(0.1, ())


@pytest.mark.parametrize("x", [nan, inf, ufloat(nan, 0.1), ufloat(5.6, nan), ufloat(5.6, inf)])
def test_what_is_not_finite_is_refused(x: object) -> None:
    with pytest.raises(Refusal, match="finite"):
        parts(x)


def test_tolerance_and_resolution_are_rectangular() -> None:
    # JCGM 100:2008 (GUM) 4.3.7: variance a^2/3; F.2.2.1: u = 0.29 times the resolution
    assert rectangular(0.02) ** 2 == pytest.approx(0.02**2 / 3, rel=1e-15)
    assert round(from_resolution(1.0), 2) == 0.29


def test_a_group_adds_in_quadrature_and_groups_stay_apart() -> None:
    day = scatter(0.03, 4, "day") + scatter(0.04, 4, "day")
    x = 5.0 + day + scatter(0.1, 2) + ufloat(0, 0.06) + ufloat(0, 0.08)
    sigma, groups = parts(x)
    assert sigma == pytest.approx(0.1, rel=1e-15)
    assert groups == ((pytest.approx(0.05, rel=1e-15), 4), (0.1, 2))


@given(st.permutations(list(range(6))))
def test_the_order_in_which_things_are_read_changes_no_digit(order: list[int]) -> None:
    errors = [scatter(0.03, 4, "day"), scatter(0.07, 4, "day"), scatter(0.011, 2)]
    errors += [ufloat(0, 0.02), ufloat(0, 0.05), ufloat(0, 0.013)]
    assert parts(sum(errors[i] for i in order)) == parts(sum(errors))


@given(u_positive, u_positive, st.floats(-3, 3), st.sampled_from([1.0, 2.0, 7.5, inf]))
def test_differences_cancel_shared_sources_exactly(u: float, own: float, a: float, dof: float) -> None:
    shared = scatter(u, dof, "shared")
    one, other = a + shared + ufloat(0, own), 5.5 + shared
    assert (one - other).s == own
    assert half_width(one - other) == half_width(ufloat(0, own))


@given(st.lists(st.floats(-2, 2), min_size=3, max_size=3), st.lists(st.floats(-2, 2), min_size=3, max_size=3))
def test_covariance_is_that_of_the_general_library(a: list[float], b: list[float]) -> None:
    errors = [ufloat(0, 0.1), ufloat(0, 0.2), scatter(0.3, 3)]
    x, y = (linear(0.0, dict(zip(errors, each, strict=True))) for each in (a, b))
    assert covariance(x, y) == pytest.approx(covariance_matrix([x, y])[0][1], rel=1e-12, abs=1e-15)


def test_fresh_keys_differ() -> None:
    assert len({fresh_key("reading") for _ in range(100)}) == 100
