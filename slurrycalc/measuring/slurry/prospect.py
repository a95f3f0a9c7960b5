"""What one more hour at the bench would bring, by the same model that made today's interval.

Today's scatter is known as a variance worth some degrees of freedom. That same knowledge says what further
slurries may show: where the mean may go, and how narrow the interval may become. Nothing is drawn at random:
the two quantities that decide it have known distributions, whose quantiles are stepped through.

With n slurries, scatter s worth nu, m more slurries, F distributed as F(m, nu) and B as Beta(1/2, (m-1)/2):

* the scatter becomes s * sqrt((nu + m F) / (nu + m)), worth nu + m;
* the mean moves by +- s * m * sqrt(F B / (n (n + m))).

(The conjugate prior of a normal variance, a scaled inverse chi-square, taken one step further.)

Another day's slurries are judged by themselves: no day's mean is pooled with another's, since days differ by
more than their slurries show. Of today they keep what it taught of the scatter, where it is on record. With m
of them, and e worth mu expected of that day's scatter:

* the scatter is sqrt((mu e^2 + (m - 1) s^2 F) / (mu + m - 1)), F distributed as F(m - 1, nu);
* its mean lies +- t * g * sqrt(1/n + 1/m) from today's, t distributed as t(nu + m - 1), where g is what both
  days say of the scatter, s * sqrt((nu + (m - 1) F) / (nu + m - 1)).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, inf, isinf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, chdtri, fdtri, ndtr, ndtri, stdtrit

from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.coverage import mixture_of_normals

Array = NDArray[np.float64]
Worth = tuple[float, float]

_F_STEPS = 64
_B_STEPS = 24
_T_STEPS = 24
_TAIL_STEPS = 3
_TINY = 1e-300
_HALVINGS = 26


@dataclass(frozen=True, slots=True)
class Footing:
    """What the interval of one enclosure's pH stands on, as far as the future needs it."""

    n: int
    """Independent slurries."""
    scatter_sd: PHValue
    """Standard deviation of one slurry about the enclosure's pH."""
    scatter_dof: NumberValue
    """Degrees of freedom that it is worth."""
    shared_u: PHValue
    """Standard uncertainty that all slurries of the day share, which more of them cannot average away."""
    day_u: PHValue
    """The part of it that another day's calibration would renew."""
    drift_u: PHValue = 0.0
    """The part of that which is drift until the close, and which another day is not expected to have."""
    expected_sd: PHValue = 0.0
    """What was expected of one slurry's scatter before today."""
    expected_dof: NumberValue = 0.0
    """What that was worth; 0 where today's slurries stand alone."""
    third_buffer: str | None = None
    """The buffer that could be added; None where there are three, or the calibration is not known."""
    third_buffer_u: PHValue | None = None
    """What `shared_u` would become with it."""
    third_doubt_u: PHValue | None = None
    """What a dispute would add, for each standard deviation that it lies off the line of the others; None
    where that is not known."""


@dataclass(frozen=True)
class Prospect:
    """Where the mean may go and what its interval may become after an action."""

    n: int
    dof: float
    shared_u: float
    moves_u: float
    """Standard deviation of the move that comes from another calibration. [pH]"""
    scatter: Array
    """Possible scatters afterwards, equally likely. [pH]"""
    shift: Array
    """The move of the mean that goes with each; either sign is as likely. [pH]"""
    median_scatter: float
    trusted: float = inf
    """Moves beyond this many times `moves_u` leave the calibration disputed."""
    doubt_u: float = inf
    """Standard uncertainty that comes with it, for each `moves_u` of the move. [pH]"""

    def half_width(self, p: float = 0.95) -> float:
        """Give the half-width that is as likely to be exceeded as not.

        Parameters
        ----------
        p : float
            Coverage probability.

        Returns
        -------
        float
            Half-width. [pH]

        Examples
        --------
        >>> alone = prospect(Footing(2, 0.10, 3.0, 0.03, 0.0), 0)
        >>> round(alone.half_width(), 3), round(prospect(Footing(2, 0.10, 3.0, 0.03, 0.0), 1).half_width(), 3)
        (0.231, 0.162)
        """
        return float(self._quantile(np.array([self.median_scatter]), (1 + p) / 2)[0])

    def settles(self, centre: float, low: float, high: float, p: float = 0.95) -> float:
        """Give the chance that a question is answered after the action.

        Parameters
        ----------
        centre : float
            Today's pH. [pH]
        low, high : float
            The question: does the pH lie between them? Either may be infinite. [pH]
        p : float
            An answer needs a probability of at least p for yes, or at most 1 - p.

        Returns
        -------
        float
            Probability that it will be yes or no rather than not settled.

        Examples
        --------
        >>> future = prospect(Footing(2, 0.10, 3.0, 0.03, 0.0), 2)
        >>> future.settles(5.6, 5.0, inf) > 0.99, round(future.settles(5.1, 5.0, inf), 1)
        (True, 0.5)
        """
        grid = np.geomspace(self.scatter.min(), self.scatter.max(), 8 if np.ptp(self.scatter) > 0 else 1)
        yes_low, yes_high, no_low, no_high = (
            np.interp(self.scatter, grid, edge) for edge in self._edges(grid, low, high, p)
        )
        total = 0.0
        for sign in (1.0, -1.0):
            at = centre + sign * self.shift
            total += float(
                np.mean(
                    np.maximum(self._step(yes_high - at) - self._step(yes_low - at), 0.0)
                    + self._step(no_low - at)
                    + self._step(np.full_like(at, inf))
                    - self._step(no_high - at)
                )
            )
        return min(total / 2 + self._settles_though_disputed(centre, low, high, p), 1.0)

    def _settles_though_disputed(self, centre: float, low: float, high: float, p: float) -> float:
        """Probability that the calibration is disputed, and the question answered all the same."""
        if isinf(self.trusted) or isinf(self.doubt_u):
            return 0.0
        tail, total = float(ndtr(-self.trusted)), 0.0
        for part in _midpoints(_TAIL_STEPS).tolist():
            z = -float(ndtri(tail * part))
            doubted = replace(
                self, shared_u=hypot(self.shared_u, z * self.doubt_u), moves_u=0.0, trusted=inf
            )
            for sign in (1.0, -1.0):
                total += doubted.settles(centre + sign * z * self.moves_u, low, high, p)
        return tail * total / _TAIL_STEPS

    def expected(self) -> Prospect:
        """Give the middle future: the mean where it is today, the scatter as likely to be exceeded as not.

        Returns
        -------
        Prospect
            With no move and one scatter.
        """
        return replace(
            self, moves_u=0.0, scatter=np.array([self.median_scatter]), shift=np.array([0.0])
        )

    def _step(self, distance: Array) -> Array:
        """Probability that the other calibration stands, and moves the mean by less than a distance."""
        beyond, within = float(ndtr(-self.trusted)), float(ndtr(self.trusted))
        if self.moves_u == 0.0:
            return np.asarray(np.where(distance >= 0.0, within - beyond, 0.0), np.float64)
        return np.asarray(np.clip(ndtr(distance / self.moves_u), beyond, within) - beyond, np.float64)

    def _below(self, distance: Array, scatter: Array) -> Array:
        """Probability that the truth lies less than a distance above the mean, per scatter (last axis)."""
        over_w, weight = (np.ones(1), np.ones(1)) if isinf(self.dof) else mixture_of_normals(self.dof)
        variance = scatter[:, None] ** 2 / self.n * over_w + self.shared_u**2
        # Never quite zero, so that of a mean without any doubt half lies below it.
        z = distance[:, None] / np.sqrt(np.maximum(variance, _TINY))
        return np.asarray(ndtr(z) @ weight)

    def _quantile(self, scatter: Array, p: float) -> Array:
        """Distance below which the truth lies with probability p > 1/2, for each scatter."""
        # A sum's quantile lies below the sum of its parts' quantiles, or hardly above it near the middle.
        reach = float(ndtri(p)) + float(ndtri(p) if isinf(self.dof) else stdtrit(self.dof, p))
        low = np.zeros_like(scatter)
        high = 1.05 * reach * np.sqrt(scatter**2 / self.n + self.shared_u**2)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            short = self._below(middle, scatter) < p
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray((low + high) / 2)

    def _edges(self, scatter: Array, low: float, high: float, p: float) -> tuple[Array, Array, Array, Array]:
        """Means between which the answer is yes, and beyond which it is no, for each scatter."""
        if isinf(high) or isinf(low):
            q = self._quantile(scatter, p)
            far = np.full_like(q, inf)
            if isinf(high):
                return low + q, far, low - q, far
            return -far, high - q, -far, high + q
        centre, half = (low + high) / 2, (high - low) / 2
        # Farther than this from the range's end, less than 1 - p lies inside.
        reach = half + self._quantile(scatter, p)
        yes, no = (self._offset(scatter, half, reach, wanted) for wanted in (p, 1 - p))
        return centre - yes, centre + yes, centre - np.maximum(no, 0.0), centre + np.maximum(no, 0.0)

    def _offset(self, scatter: Array, half: float, reach: Array, wanted: float) -> Array:
        """Distance of the mean from the middle of a range at which it lies inside with a probability.

        Negative where not even the middle reaches it.
        """

        def inside(x: Array) -> Array:
            return self._below(half - x, scatter) - self._below(-half - x, scatter)

        low, high = np.zeros_like(scatter), reach
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            enough = inside(middle) >= wanted
            low, high = np.where(enough, middle, low), np.where(enough, high, middle)
        return np.where(inside(np.zeros_like(scatter)) >= wanted, (low + high) / 2, -1.0)


def prospect(
    footing: Footing,
    more: int,
    *,
    shared_u: float | None = None,
    trusted: float = inf,
    doubt_u: float | None = None,
) -> Prospect:
    """Look ahead from today's footing to what an action of today would bring.

    Parameters
    ----------
    footing : Footing
        Today's slurries, scatter and shared uncertainty. [pH]
    more : int
        Further slurries, 0 for none.
    shared_u : float, optional
        Shared standard uncertainty afterwards, where the action changes it. The mean then moves by what that
        part loses, since an estimate moves by what it learns. [pH]
    trusted : float, optional
        How many standard deviations it may so move before the calibration is disputed.
    doubt_u : float, optional
        Standard uncertainty of a dispute for each of them; where it is not known, a dispute settles nothing.
        [pH]

    Returns
    -------
    Prospect
        The equally likely futures.

    References
    ----------
    .. [1] A. Gelman et al., "Bayesian Data Analysis", 3rd ed., 3.3 (conjugate prior of a normal variance;
       chapter from memory).

    Examples
    --------
    >>> prospect(Footing(2, 0.10, 3.0, 0.03, 0.0), 1).dof
    4.0
    """
    n, s, dof = footing.n, footing.scatter_sd, footing.scatter_dof
    shared = footing.shared_u if shared_u is None else shared_u
    moves = sqrt(max(footing.shared_u**2 - shared**2, 0.0))
    if more == 0:
        doubt = inf if doubt_u is None else doubt_u
        return Prospect(n, dof, shared, moves, np.array([s]), np.array([0.0]), s, trusted, doubt)
    at = _midpoints(_F_STEPS)
    ratio = np.asarray(_ratio(more, dof, at))
    part = np.asarray(betaincinv(0.5, (more - 1) / 2, _midpoints(_B_STEPS))) if more > 1 else np.ones(1)
    grown = np.full_like(ratio, s) if isinf(dof) else s * np.sqrt((dof + more * ratio) / (dof + more))
    middle = s if isinf(dof) else s * sqrt((dof + more * float(_ratio(more, dof, 0.5))) / (dof + more))
    shift = s * more * np.sqrt(np.outer(ratio, part) / (n * (n + more)))
    scatter = np.repeat(grown, part.size)
    return Prospect(n + more, dof + more, shared, moves, scatter, shift.ravel(), middle)


def another_day(footing: Footing, slurries: int, *, on_record: bool) -> Prospect:
    """Look ahead from today's footing to what another day's slurries would show by themselves.

    Parameters
    ----------
    footing : Footing
        Today's slurries, scatter and shared uncertainty. [pH]
    slurries : int
        How many that day will have; at least 2 where nothing is expected of the scatter.
    on_record : bool
        Whether today's slurries are on record, so that what they showed of the scatter is expected then.

    Returns
    -------
    Prospect
        The equally likely futures, with the same bottles, thermometer and meter calibrated anew.

    References
    ----------
    .. [1] As `outlook`, the predictive distribution of a second sample.

    Examples
    --------
    >>> footing = Footing(2, 0.10, 3.0, 0.03, 0.02, 0.0, 0.10, 2.0)
    >>> another_day(footing, 2, on_record=True).dof, another_day(footing, 2, on_record=False).dof
    (4.0, 3.0)
    """
    today = (footing.scatter_sd, footing.scatter_dof)
    kept = on_record and footing.expected_dof > 0.0
    expected = today if kept else (footing.expected_sd, footing.expected_dof)
    new_u = sqrt(max(footing.day_u**2 - footing.drift_u**2, 0.0))
    shared = sqrt(max(footing.shared_u**2 - footing.drift_u**2, 0.0))
    moves = sqrt(footing.day_u**2 + new_u**2)
    return replace(_alone(slurries, today, expected, 1.0 / footing.n, shared), moves_u=moves)


def _alone(m: int, known_by: Worth, expected: Worth, earlier: float, shared: float) -> Prospect:
    """Look ahead to m slurries judged by themselves, `earlier` being 1/n of those that the mean rests on."""
    (s, dof), (e, worth) = known_by, expected
    after, known = worth + m - 1, dof + m - 1
    at = _midpoints(_F_STEPS)
    if m == 1:
        sums, half = np.zeros(1), 0.0
    else:
        sums = (m - 1) * np.asarray(_ratio(m - 1, dof, at))
        half = (m - 1) * float(_ratio(m - 1, dof, 0.5))

    def grown(sd: float, nu: float, squares: Array | float) -> Array:
        if isinf(nu):
            return np.full_like(np.asarray(squares), sd)
        return np.asarray(np.sqrt((nu * sd**2 + s**2 * np.asarray(squares)) / (nu + m - 1)))

    t_at = (1.0 + _midpoints(_T_STEPS)) / 2.0
    t = np.asarray(ndtri(t_at) if isinf(known) else stdtrit(known, t_at))
    shift = np.outer(grown(s, dof, sums), t) * sqrt(earlier + 1.0 / m)
    scatter = np.repeat(grown(e, worth, sums), t.size)
    return Prospect(m, after, shared, 0.0, scatter, shift.ravel(), float(grown(e, worth, half)))


def _ratio(more: int, dof: float, at: Array | float) -> Array | float:
    """Quantiles of F(more, dof), the variance that more degrees of freedom may show."""
    return chdtri(more, 1.0 - at) / more if isinf(dof) else fdtri(more, dof, at)  # type: ignore[no-any-return]


def _midpoints(steps: int) -> Array:
    return (np.arange(steps) + 0.5) / steps

