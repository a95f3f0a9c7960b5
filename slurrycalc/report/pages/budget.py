"""The uncertainty budget as a table."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from slurrycalc.data.assumed import from_where
from slurrycalc.metrology.budget import Budget, BudgetRow
from slurrycalc.metrology.figures import two_figures
from slurrycalc.report.page import GAP, Block, Heading, Say, points, table


def budget_blocks(budget: Budget, of: str, unit: str) -> Iterator[Block]:
    """Write every source of an uncertainty, largest first.

    Parameters
    ----------
    budget : Budget
        The budget.
    of : str
        What it is the budget of.
    unit : str
        Unit of the result.
    """
    yield Heading(f"Budget of {of}: standard uncertainty {two_figures(budget.u)} {unit}".rstrip())
    yield table(
        ("source", "type", f"part [{unit}]", "share", "dof", "known"),
        [
            (
                row.name,
                row.type,
                two_figures(row.contribution),
                f"{row.share:.1%}",
                "inf" if isinf(row.dof) else f"{row.dof:.3g}",
                from_where(row.known),
            )
            for row in budget.rows
        ],
        right=(2, 3, 4),
    )
    yield GAP
    yield points(dict.fromkeys(_ground(row) for row in budget.rows if row.ground))
    yield GAP
    dof = "infinite" if isinf(budget.dof) else f"{budget.dof:.1f}"
    expanded = two_figures(budget.k * budget.u)
    yield Say(
        f"Parts add as squares. The GUM's classic statement: {dof} effective degrees of freedom, "
        f"k = {budget.k:.2f}, U = {expanded} {unit}. The interval above is computed from the distributions "
        "themselves and is the one to use."
    )


def _ground(row: BudgetRow) -> str:
    return f"{row.name.partition(',')[0]}: {row.ground}"
