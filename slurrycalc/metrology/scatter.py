"""One linear model for everything that scatters: replicates, pairs, trends.

The residuals of a fit show what differs from one observation to the next, and nothing of what all share. So
the fit takes scatter from the residuals (and from what was expected of it before), and carries the shared
sources through by ordinary arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf, isfinite, sqrt
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, fdtrc, ndtri, stdtrit
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import SCATTER_SURPRISE, USUAL_DOF, USUAL_SURPRISE, Known
from slurrycalc.metrology.annotate import NumberValue
from slurrycalc.metrology.batch import Batch, Floats
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.uncertain import Source, Uncertain, fresh_key, linear


@dataclass(frozen=True, slots=True)
class Scatter:
    """A standard deviation of scatter, and the degrees of freedom that it is worth.

    Two of them pool with ``+``.

    Parameters
    ----------
    sd : float
        Standard deviation, in the unit of the observations.
    dof : float
        What it is worth: the degrees of freedom of as good an estimate; infinite for a stated value. [1]
    known : Known
        How it is known.
    ground : str
        What it rests on, in words.

    Raises
    ------
    Refusal
        If `sd` is negative or not finite, or `dof` is not positive.

    References
    ----------
    .. [1] A scaled inverse chi-square prior: Cox and Shirono, "Informative Bayesian Type A uncertainty
       evaluation, especially applicable to a small number of observations", Metrologia 54 (2017) 642 (from
       memory).

    Examples
    --------
    >>> Scatter(0.10, 2) + Scatter(0.20, 2)
    Scatter(sd=0.15811388300841897, dof=4, known='given', ground='')
    """

    sd: float
    dof: float
    known: Known = field(default="given", compare=False)
    ground: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        if not (isfinite(self.sd) and self.sd >= 0.0):
            raise Refusal(f"a scatter of `{self.sd:g}` cannot be; give a positive number, for instance 0.10.")
        if not self.dof > 0.0:
            raise Refusal(f"a scatter worth `{self.dof:g}` degrees of freedom says nothing; give at least 1.")

    def __add__(self, other: Scatter) -> Scatter:
        if inf in (self.dof, other.dof):
            stated = self if self.dof == inf else other
            if self.dof == other.dof and self.sd != other.sd:
                raise Refusal(f"scatter is stated as both {self.sd:g} and {other.sd:g}; state one.")
            return stated
        dof = self.dof + other.dof
        sd = sqrt((self.dof * self.sd**2 + other.dof * other.sd**2) / dof)
        known: Known = self.known if self.known == other.known else "computed"
        ground = "; ".join(dict.fromkeys(each for each in (self.ground, other.ground) if each))
        return Scatter(sd, dof, known, ground)

    def at_most(self, dof: float) -> Scatter:
        """Let it count for no more than some degrees of freedom.

        Parameters
        ----------
        dof : float
            The limit. [1]

        Returns
        -------
        Scatter
            The same standard deviation.

        Examples
        --------
        >>> Scatter(0.10, 40).at_most(4).dof
        4
        """
        return Scatter(self.sd, min(self.dof, dof), self.known, self.ground)


@dataclass(frozen=True, slots=True)
class ScatterFit(Result):
    """A linear model fitted to observations that scatter."""

    coefficients: tuple[UFloat, ...]
    """One a column, in units of observation per column, from the shared sources and the scatter."""
    sd: float
    """Standard deviation s of one observation's scatter, in the unit of the observations."""
    dof: NumberValue
    """What it is worth."""
    own_sd: float | None
    """Standard deviation by these observations alone; None where no degrees of freedom are left to see it."""
    own_u: float
    """Root mean square of the known uncertainties that touch one observation only."""
    residuals: tuple[float, ...]
    n: int
    p: int
    expected: Scatter | None
    expected_share: NumberValue
    """How much of `dof` rests on the expectation, 0 to 1."""
    surprise: NumberValue | None
    """Probability of so much scatter or more under the expectation; None where nothing can be compared."""
    source: Source
    """Of the scatter."""

    def _body(self) -> str:
        return f"scatter {two_figures(self.sd)}, worth {self.dof:.3g} degrees of freedom"

    @property
    def flag_level(self) -> float:
        """How seldom scatter must come by chance to be flagged: 1 %, and 5 % against what is usual. [1]."""
        usual = self.expected is not None and self.expected.dof <= USUAL_DOF.value
        return (USUAL_SURPRISE if usual else SCATTER_SURPRISE).value

    @property
    def surprising(self) -> bool:
        """Whether the observations scatter more than expected."""
        return self.surprise is not None and self.surprise < self.flag_level

    @property
    def scatter(self) -> Scatter | None:
        """What these observations alone say of the scatter beyond their known uncertainties, for pooling."""
        if self.own_sd is None:
            return None
        return Scatter(sqrt(max(self.own_sd**2 - self.own_u**2, 0.0)), self.n - self.p, "measured")

    def level(self, row: Sequence[float]) -> UFloat:
        """Give the model's value.

        Parameters
        ----------
        row : sequence of float, length p
            As a row of the design matrix.

        Returns
        -------
        UFloat
            Without the scatter of a new observation.

        Raises
        ------
        Refusal
            If the row has another length than the model.

        Examples
        --------
        >>> round(scatter_fit([[1], [1], [1]], [5.4, 5.5, 5.6]).level([1]).n, 2)
        5.5
        """
        if len(row) != self.p:
            raise Refusal(f"the model has {self.p} columns, and the row {len(row)}.")
        terms = (float(x) * b for x, b in zip(row, self.coefficients, strict=True))
        total: UFloat = sum(terms, start=linear(0.0, {}))
        return linear(total.n, total.derivatives)

    def predict(self, row: Sequence[float]) -> UFloat:
        """Give what one more observation would be.

        Parameters
        ----------
        row : sequence of float, length p
            As a row of the design matrix.

        Returns
        -------
        UFloat
            The model's value with a new observation's scatter, which nothing else shares.

        Raises
        ------
        Refusal
            If the row has another length than the model.

        Examples
        --------
        >>> fit = scatter_fit([[1], [1], [1]], [5.4, 5.5, 5.6])
        >>> round(fit.level([1]).s, 4), round(fit.predict([1]).s, 4)
        (0.0577, 0.1155)
        """
        level = self.level(row)
        source = Source(
            fresh_key("observation"),
            f"{self.source.name}, of one more observation",
            self.source.type,
            self.source.dof,
            self.source.group,
            self.source.known,
            self.source.ground,
        )
        return linear(level.n, {**level.derivatives, Variable(0.0, self.sd, tag=source): 1.0})


def scatter_fit(
    X: ArrayLike,
    y: Sequence[Uncertain] | Floats | Batch,
    expected: Scatter | None = None,
    *,
    resolution: float = 0.0,
    group: str | None = None,
    name: str = "scatter",
) -> ScatterFit:
    """Fit a linear model to observations that scatter by an unknown amount.

    Parameters
    ----------
    X : array_like, shape (n, p)
        Design matrix, a row an observation; a single column of ones for a mean.
    y : sequence of float or UFloat, array, or Batch, length n
        Observations, any one unit. Sources that touch one of them only are left to the residuals, which show
        them already; sources that touch several stay in the coefficients, since no residual shows them. A
        single observation keeps all.
    expected : Scatter, optional
        What is known of the scatter before these observations, in their unit; without it they stand alone.
    resolution : float
        Step of the display that they were read on, in their unit; counts where two of them are equal.
    group : str, optional
        Name of this estimate of scatter; a new one if not given.
    name : str
        What a budget calls the scatter.

    Returns
    -------
    ScatterFit
        The coefficients, what scatters about them, and how much rests on the expectation.

    Raises
    ------
    Refusal
        If shapes do not fit, a number is not finite, the columns depend on each other, or fewer than 1 degree
        of freedom is left.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2 and H.3.
    .. [2] Cox and Shirono, Metrologia 54 (2017) 642 (from memory).

    Examples
    --------
    >>> fit = scatter_fit([[1], [1]], [5.40, 5.52], Scatter(0.10, 2))
    >>> round(fit.coefficients[0].n, 2), fit.dof, round(fit.sd, 5)
    (5.46, 3, 0.09522)
    """
    design = np.asarray(X, dtype=np.float64)
    batch = y if isinstance(y, Batch) else Batch.of(list(y))
    estimator, factor = _least_squares(design, len(batch))
    n, p = design.shape
    own_variance, shared = _own_and_shared(batch, estimator)
    beta = estimator @ batch.values
    # One correction by the residuals wins back the digits that rounding took from A.
    beta += estimator @ (batch.values - design @ beta)
    residuals = batch.values - design @ beta
    found = _estimate(float(residuals @ residuals), n - p, own_variance, expected)
    if resolution > 0.0 and n > 1 and np.diff(np.sort(batch.values)).min() < resolution / 2.0:
        found = found._replace(variance=found.variance + resolution**2 / 12.0)
    known_alone = found.variance < own_variance and found.dof < inf
    if known_alone and ndtri(0.975) ** 2 * own_variance > stdtrit(found.dof, 0.975) ** 2 * found.variance:
        found = found._replace(
            variance=own_variance,
            dof=inf,
            known="computed",
            ground="known uncertainty of single observations, larger than what they scatter",
        )
    sd = sqrt(found.variance)
    group = fresh_key(name) if group is None else group
    kind: Literal["A", "B"] = "B" if found.dof == inf else "A"
    source = Source(group, name, kind, found.dof, group, found.known, found.ground)
    errors = [Variable(0.0, sd, tag=source) for _ in range(p)] if sd else []
    coefficients = tuple(
        linear(
            float(beta[k]),
            shared[k] | {z: float(f) for z, f in zip(errors, factor[k], strict=False) if f},
        )
        for k in range(p)
    )
    return ScatterFit(
        coefficients=coefficients,
        sd=sd,
        dof=found.dof,
        own_sd=found.own_sd,
        own_u=sqrt(own_variance),
        residuals=tuple(residuals.tolist()),
        n=n,
        p=p,
        expected=expected,
        expected_share=found.expected_share,
        surprise=found.surprise,
        source=source,
    )


def _least_squares(design: Floats, n: int) -> tuple[Floats, Floats]:
    """Give A = (XᵀX)⁻¹Xᵀ by QR, and F with FFᵀ = AAᵀ, the coefficients' covariance for unit scatter."""
    if design.ndim != 2 or design.shape[0] != n or design.shape[1] == 0:
        raise Refusal(f"{n} observations need a design of {n} rows; this one has shape {design.shape}.")
    if not np.isfinite(design).all():
        raise Refusal("the design matrix holds a number that is not finite; leave that observation out.")
    p = design.shape[1]
    if n < p:
        raise Refusal(f"{n} observations cannot give {p} coefficients; take at least {p}.")
    # Columns are brought to like sizes by powers of two, which change no digit of them.
    scale = np.exp2(np.frexp(np.linalg.norm(design, axis=0))[1].astype(float))
    q, r = np.linalg.qr(design / scale)
    sign = np.where(np.diag(r) < 0.0, -1.0, 1.0)
    q, r = q * sign, r * sign[:, np.newaxis]
    if np.diag(r).min() <= n * np.finfo(float).eps:
        raise Refusal("the design's columns depend on each other, so no single answer fits; leave one out.")
    factor = np.linalg.inv(r) / scale[:, np.newaxis]
    return factor @ q.T, factor


def _own_and_shared(batch: Batch, estimator: Floats) -> tuple[float, list[dict[Any, float]]]:
    """Give the mean variance of what touches one observation only, and each coefficient's shared inputs."""
    n, m = len(batch), len(batch.inputs)
    if n == 1:
        number = batch.number(0).derivatives
        return 0.0, [{z: float(a[0]) * each for z, each in number.items()} for a in estimator]
    # An input whose entries cancel in a row does not touch it.
    loadings = batch.loadings.added_up()
    row, col, weight = (each[loadings.weight != 0.0] for each in loadings)
    one_row = np.zeros(m, np.intp)
    one_row[col] = row
    is_shared = np.zeros(m, bool)
    is_shared[col[row != one_row[col]]] = True
    alone = ~is_shared[col]
    u = np.array([each.std_dev for each in batch.inputs])
    own = float(np.sum(batch.own_u**2) + np.sum((np.bincount(col[alone], weight[alone], m) * u) ** 2)) / n
    row, col, weight = row[~alone], col[~alone], weight[~alone]
    which = np.flatnonzero(is_shared).tolist()
    shared = []
    for a in estimator:
        sensitivity = np.bincount(col, a[row] * weight, m).tolist()
        shared.append({batch.inputs[j]: sensitivity[j] for j in which})
    return own, shared


class _Estimate(NamedTuple):
    variance: float
    dof: float
    own_sd: float | None
    expected_share: float
    surprise: float | None
    known: Known
    ground: str


def _estimate(rss: float, own_dof: int, v: float, expected: Scatter | None) -> _Estimate:
    """Put together what the residuals show and what was expected."""
    own_sd = sqrt(rss / own_dof) if own_dof else None
    if not own_dof:
        rss = 0.0  # what is left then is rounding
    ground = f"{own_dof} degree{'' if own_dof == 1 else 's'} of freedom from the observations"
    if expected is None:
        if own_dof == 0:
            raise Refusal(
                "as many coefficients as observations leave no degrees of freedom to see the scatter by; "
                "add an observation, or state the scatter that you expect, for instance Scatter(0.10, 2)."
            )
        return _Estimate(rss / own_dof, own_dof, own_sd, 0.0, None, "measured", ground)
    prior = expected.sd**2 + v
    surprise = None
    if own_sd is not None and prior > 0.0:
        ratio = own_sd**2 / prior
        stated = expected.dof == inf
        surprise = float(chdtrc(own_dof, own_dof * ratio) if stated else fdtrc(own_dof, expected.dof, ratio))
    if expected.dof == inf:
        return _Estimate(prior, inf, own_sd, 1.0, surprise, expected.known, expected.ground or "stated")
    dof = own_dof + expected.dof
    if dof < 1.0:
        raise Refusal(f"{dof:g} degrees of freedom are too few; add an observation, or expect more firmly.")
    ground = f"{ground}, {expected.dof:g} expected" + (f": {expected.ground}" if expected.ground else "")
    variance = (rss + expected.dof * prior) / dof
    return _Estimate(variance, dof, own_sd, expected.dof / dof, surprise, expected.known, ground)
