"""A budget gives the GUM's own statement, and its rows add up."""

from __future__ import annotations

from math import inf

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.scatter import scatter_fit
from slurrycalc.metrology.uncertain import Source, fresh_key, linear


def type_a(u: float, dof: float, name: str = "series", group: str | None = None) -> object:
    return ufloat(0.0, u, tag=Source(fresh_key(name), name, "A", dof, group))


def test_gum_h1_effective_degrees_of_freedom() -> None:
    # JCGM 100:2008 (GUM) H.1.6: 25 nm (18), 9.7 nm (25.6), 2.9 nm (50), 16.6 nm (2); u_c = 32 nm and
    # nu_eff = 16.7. The components as printed give 16.76.
    length = type_a(25, 18) + type_a(9.7, 25.6) + type_a(2.9, 50) + type_a(16.6, 2)
    assert round(budget(length).u) == 32
    assert budget(length).dof == pytest.approx(16.7, abs=0.1)
    # H.1.6 rounds down to 16 and takes t99(16) = 2.92; t99(17) = 2.90 (Table G.2). Ours is not rounded down.
    assert 2.90 <= budget(length, 0.99).k <= 2.92


@pytest.mark.parametrize(
    ("dof", "t95"),
    [(1, 12.71), (2, 4.30), (3, 3.18), (4, 2.78), (5, 2.57), (10, 2.23), (20, 2.09), (inf, 1.96)],
)
def test_gum_table_g2(dof: float, t95: float) -> None:
    # JCGM 100:2008 (GUM) Table G.2, p = 95 %
    assert round(budget(type_a(0.1, dof)).k, 2) == t95


components = st.lists(
    st.tuples(st.floats(0.01, 1.0), st.sampled_from([1.0, 2.0, 3.5, 9.0, 50.0]), st.floats(-2.0, 2.0)),
    min_size=1,
    max_size=6,
).filter(lambda rows: any(abs(c) > 0.01 for _, _, c in rows))


Rows = list[tuple[float, float, float]]


@given(components)
def test_effective_degrees_of_freedom_are_those_of_the_reference_library(rows: Rows) -> None:
    # GTC (Measurement Standards Laboratory of New Zealand), ureal(value, u, df)
    ours = sum(c * type_a(u, dof) for u, dof, c in rows)
    theirs = sum(c * GTC.ureal(0.0, u, dof) for u, dof, c in rows)
    assert budget(ours).u == pytest.approx(theirs.u, rel=1e-9)
    assert budget(ours).dof == pytest.approx(theirs.df, rel=1e-9)


def test_an_ensemble_of_the_reference_library_is_one_group_of_ours() -> None:
    # GTC.multiple_ureal: inputs from one estimate, which count their degrees of freedom once
    ours = type_a(0.3, 4, group="fit") + 2 * type_a(0.1, 4, group="fit") + type_a(0.2, 7)
    a, b = GTC.multiple_ureal([0.0, 0.0], [0.3, 0.1], 4)
    theirs = a + 2 * b + GTC.ureal(0.0, 0.2, 7)
    assert budget(ours).dof == pytest.approx(theirs.df, rel=1e-12)


@given(components)
def test_rows_add_up_and_come_largest_first(rows: Rows) -> None:
    result = budget(sum(c * type_a(u, dof) for u, dof, c in rows) + ufloat(0, 0.05))
    assert sum(row.share for row in result.rows) == pytest.approx(1.0, rel=1e-12)
    assert sum(row.contribution**2 for row in result.rows) == pytest.approx(result.u**2, rel=1e-12)
    sizes = [row.contribution for row in result.rows]
    assert sizes == sorted(sizes, reverse=True)
    for row in result.rows:
        assert abs(row.sensitivity) * row.u == pytest.approx(row.contribution, rel=1e-12)


@pytest.mark.parametrize("scale", [1e-300, 1e-238, 1e-165, 1e150, 1e200, 1e300])
def test_a_budget_is_the_same_in_any_unit(scale: float) -> None:
    parts = type_a(0.1, 2) + type_a(0.05, 9) + ufloat(0, 0.02)
    usual, other = budget(parts), budget(scale * parts)
    assert other.u == pytest.approx(scale * usual.u, rel=1e-9)
    assert other.dof == pytest.approx(usual.dof, rel=1e-9)
    assert [row.share for row in other.rows] == pytest.approx([row.share for row in usual.rows], rel=1e-9)


def test_a_source_is_one_row_however_many_inputs_it_takes() -> None:
    fit = scatter_fit([[1, 0], [1, 1], [1, 2]], [5.4, 5.5, 5.9], name="scatter of days")
    (row,) = budget(fit.level([1, 4])).rows
    assert (row.name, row.type, row.u, row.dof, row.known) == ("scatter of days", "A", fit.sd, 1, "measured")
    assert row.sensitivity * fit.sd == pytest.approx(fit.level([1, 4]).s, rel=1e-12)


def test_inputs_without_a_name_stay_apart() -> None:
    result = budget(ufloat(5.0, 0.1) - 2 * ufloat(1.0, 0.3, tag="theirs"))
    named = [(row.name, row.sensitivity) for row in result.rows]
    assert named == [("theirs", -2.0), ("input without a name", 1.0)]


def test_an_exact_number_has_an_empty_budget() -> None:
    result = budget(linear(5.6, {}))
    assert (result.rows, result.u, result.dof) == ((), 0.0, inf)
    assert budget(5.6) == result
