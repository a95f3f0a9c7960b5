"""The uncertainty budget of a result: which source contributes how much, and how that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, hypot, inf
from typing import Literal

from slurrycalc.data.assumed import Known
from slurrycalc.metrology.annotate import NumberValue
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.uncertain import Source, Uncertain, contributions, parts, source_of


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """What one source does to a result."""

    key: str
    name: str
    type: Literal["A", "B"]
    u: float
    """Standard uncertainty of the source, in its own unit."""
    sensitivity: float
    """Change of the result per unit of the source."""
    contribution: float
    """Its part of the result's standard uncertainty, in the unit of the result."""
    share: NumberValue
    """Its part of the result's variance, 0 to 1."""
    dof: NumberValue
    known: Known
    ground: str


@dataclass(frozen=True, slots=True)
class Budget(Result):
    """The uncertainty budget of a result, largest row first."""

    rows: tuple[BudgetRow, ...]
    u: float
    """Standard uncertainty, in the unit of the result."""
    dof: NumberValue
    """Effective degrees of freedom by Welch and Satterthwaite, group by group."""
    k: NumberValue
    """Coverage factor of Student's t at those, for the GUM's classic statement U = k u."""

    def _body(self) -> str:
        u = f"standard uncertainty {two_figures(self.u)}"
        return f"{u}, {100.0 * self.rows[0].share:.0f} % of it from {self.rows[0].name}" if self.rows else u



def budget(x: Uncertain, p: float = 0.95) -> Budget:
    """Say where the uncertainty of a number comes from.

    Parameters
    ----------
    x : float or UFloat
        Any number.
    p : float
        Coverage probability of the classic factor ``k``.

    Returns
    -------
    Budget
        One row a source. The printed intervals do not rest on its ``k``: see
        `slurrycalc.metrology.coverage.interval`.

    Raises
    ------
    Refusal
        If the number is not finite.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2, G.4, table G.2; effective degrees of freedom not rounded.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> result = budget(ufloat(5.6, 0.1, tag=Source("d", "duplicates", "A", 2)) + ufloat(0, 0.05))
    >>> [(row.name, round(row.share, 2)) for row in result.rows]
    [('duplicates', 0.8), ('input without a name', 0.2)]
    >>> round(result.dof, 3)
    3.125
    """
    # scipy.special is a tenth of a second that commands which only count cups need not wait for.
    from scipy.special import stdtrit  # noqa: PLC0415

    inputs: dict[object, list[tuple[Source, float, float]]] = {}
    for variable, part in contributions(x).items():
        source = source_of(variable)
        one: object = source.key if source is variable.tag else variable
        inputs.setdefault(one, []).append((source, variable.std_dev, part))
    sigma, groups = parts(x)
    u = hypot(sigma, *(c for c, _ in groups))
    rows = sorted((_row(same, u) for same in inputs.values()), key=lambda row: (-row.contribution, row.key))
    weight = fsum((c / u) ** 4 / dof for c, dof in groups)
    dof = 1.0 / weight if weight else inf
    return Budget(tuple(rows), u, dof, float(stdtrit(min(dof, 1e12), 0.5 + p / 2.0)))


def _row(same: Sequence[tuple[Source, float, float]], u_result: float) -> BudgetRow:
    """Make one row of the inputs of one source; several of them add in quadrature."""
    source, u, part = same[0]
    contribution = hypot(*(each for _, _, each in same))
    if len(same) == 1:
        sensitivity = part / u
    elif all(other == u for _, other, _ in same):
        sensitivity = contribution / u
    else:
        u, sensitivity = contribution, 1.0
    return BudgetRow(
        source.key,
        source.name,
        source.type,
        u,
        sensitivity,
        contribution,
        (contribution / u_result) ** 2,
        source.dof,
        source.known,
        source.ground,
    )
