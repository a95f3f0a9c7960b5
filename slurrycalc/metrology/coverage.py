"""Coverage intervals and probabilities of uncertain numbers: propagation of distributions, without draws.

An error is c₁·t(ν₁) + c₂·t(ν₂) + … + σ·z with independent parts, one t for each group of inputs that share an
estimate of scatter (`slurrycalc.metrology.uncertain.parts`). Its distribution is integrated numerically, so
that the same input always prints the same digits.
"""

from __future__ import annotations

from functools import lru_cache
from math import fsum, hypot, isfinite, log, pi, sqrt
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, erfc, gammaincinv, ndtri, stdtr, stdtrit

from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Parts, Uncertain, parts

Floats: TypeAlias = NDArray[np.float64]
Groups: TypeAlias = tuple[tuple[float, float], ...]

MIXTURE_POINTS = 96  # of ln W; with these the worst relative error of one group is 5e-8
FOURIER_POINTS = 240  # of ln u; with these the worst relative error of four groups is 6e-7
TURN = pi / 8.0  # how far the path of integration is turned away from the real axis


class Interval(NamedTuple):
    """A coverage interval, in the unit of the number that it belongs to."""

    low: float
    high: float

    @property
    def half_width(self) -> float:
        """Half the distance between the limits."""
        return (self.high - self.low) / 2.0


def interval(x: Uncertain, p: float = 0.95) -> Interval:
    """Give the interval that covers a quantity with a probability.

    Parameters
    ----------
    x : float or UFloat
        The quantity's value with its inputs. A plain float is exact.
    p : float
        Coverage probability, between 0 and 1.

    Returns
    -------
    Interval
        Symmetrical about the value, in its unit.

    Raises
    ------
    Refusal
        If the number is not finite or `p` is no probability.

    References
    ----------
    .. [1] JCGM 101:2008, propagation of distributions; JCGM 100:2008 (GUM), 6.2 and annex G.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> low, high = interval(ufloat(5.6, 0.1))
    >>> print(f"{low:.3f} to {high:.3f}")
    5.404 to 5.796
    """
    h = half_width(x, p)
    value = float(getattr(x, "n", x))
    return Interval(value - h, value + h)


def half_width(x: Uncertain, p: float = 0.95) -> float:
    """Give half the width of the coverage interval.

    Parameters
    ----------
    x : float or UFloat
        The quantity's value with its inputs.
    p : float
        Coverage probability, between 0 and 1.

    Returns
    -------
    float
        In the unit of the quantity; 0 for an exact number.

    Raises
    ------
    Refusal
        If the number is not finite or `p` is no probability.

    Examples
    --------
    >>> from slurrycalc.metrology.uncertain import Source
    >>> from uncertainties import ufloat
    >>> round(half_width(ufloat(5.46, 0.05, tag=Source("d", "duplicates", "A", dof=2))), 4)
    0.2151
    """
    if not 0.0 < p < 1.0:
        raise Refusal(f"`{p:g}` is no coverage probability; give one between 0 and 1, for instance 0.95.")
    sigma, groups = parts(x)
    scale = hypot(sigma, *(c for c, _ in groups))
    if scale == 0.0:
        return 0.0
    return scale * _half_width(sigma / scale, tuple((c / scale, nu) for c, nu in groups), p)


def probability(x: Uncertain, below: float | None = None, above: float | None = None) -> float:
    """Give the probability that a quantity lies on one side of a limit, or between two.

    Parameters
    ----------
    x : float or UFloat
        The quantity's value with its inputs.
    below, above : float
        Limits in the unit of the quantity. With both, the probability that it lies above the one and below
        the other. An exact number that equals a limit counts as above it, and as inside a range.

    Returns
    -------
    float
        Between 0 and 1.

    Raises
    ------
    Refusal
        If no limit is given, a limit or the number is not finite, or the limits are the wrong way round.

    References
    ----------
    .. [1] JCGM 106:2012, 7 (conformance probability).

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> round(probability(ufloat(5.6, 0.1), above=5.4), 4)
    0.9772
    """
    for limit in (below, above):
        if limit is not None and not isfinite(limit):
            raise Refusal(f"`{limit:g}` is no limit; give a finite number, for instance 5.0.")
    value = float(getattr(x, "n", x))
    if below is not None and above is not None:
        if above > below:
            raise Refusal(f"nothing lies above {above:g} and below {below:g}; the lower limit is `above`.")
        spread = parts(x)
        if spread == Parts(0.0, ()):
            return float(above <= value <= below)
        return max(0.0, _below(spread, below - value) - _below(spread, above - value))
    if below is not None:
        return _below(parts(x), below - value)
    if above is not None:
        return _below(parts(x), value - above, at_zero=1.0)
    raise Refusal("a probability needs a limit; give `below` or `above`, for instance above=5.0.")


def _below(spread: Parts, distance: float, at_zero: float = 0.0) -> float:
    """P(error < distance), from the tail on the nearer side so that small probabilities keep their digits."""
    sigma, groups = spread
    scale = hypot(sigma, *(c for c, _ in groups))
    if scale == 0.0:
        return at_zero if distance == 0.0 else float(distance > 0.0)
    if distance == 0.0:
        return 0.5
    beyond = 0.5 * _beyond(abs(distance) / scale, sigma / scale, tuple((c / scale, nu) for c, nu in groups))
    return 1.0 - beyond if distance > 0.0 else beyond


@lru_cache(maxsize=512)
def mixture_of_normals(nu: float) -> tuple[Floats, Floats]:
    """Write Student's t as a mixture of normals: t(ν) = z/√W, where νW is distributed as χ²(ν).

    Parameters
    ----------
    nu : float
        Degrees of freedom.

    Returns
    -------
    variance : array
        1/W at points evenly spaced in ln W, between a lower tail of 1e-11 and an upper of 1e-16.
    weight : array
        Probability of each. They are made to sum to 1, without which ν = 1 fails at p = 0.999. Both arrays
        are cached and shared: do not change them.

    Examples
    --------
    >>> variance, weight = mixture_of_normals(4)
    >>> round(float(variance @ weight), 4)  # the variance of t(4): 4/(4 - 2)
    2.0
    """
    a = nu / 2.0
    low, high = gammaincinv(a, 1e-11) / a, chdtri(nu, 1e-16) / nu
    ln_w = np.linspace(log(low), log(high), MIXTURE_POINTS)
    exponent = a * (ln_w - np.exp(ln_w))
    weight = np.exp(exponent - exponent.max())
    return np.exp(-ln_w), weight / weight.sum()


_mixture = mixture_of_normals  # a former name, until its last user asks for the new one


class _OneGroup:
    """Tail and density of c·t(ν) + σ·z, as a mixture of normals."""

    def __init__(self, sigma: float, c: float, nu: float) -> None:
        over_w, self.weight = mixture_of_normals(nu)
        self.a = 1.0 / np.sqrt(2.0 * (sigma * sigma + c * c * over_w))
        self.weighted = (2.0 / sqrt(pi)) * self.weight * self.a

    def beyond(self, h: float) -> float:
        return float(self.weight @ erfc(h * self.a))

    def slope(self, h: float) -> float:
        return float(self.weighted @ np.exp(-((h * self.a) ** 2)))


class _Several:
    """Tail and density of a sum of t-distributed and normal parts, from its characteristic function φ.

    P(|X| ≤ h) = (2/π) Im ∫ e^(ihu) φ(u) du/u along the positive axis. Turned by π/8 the integrand dies away
    instead of oscillating, the small arc about 0 leaves π/8 behind, and in x = ln|u| the trapezoid converges
    as fast as the integrand is smooth.
    """

    def __init__(self, sigma: float, groups: Groups, narrow: float, wide: float, points: int) -> None:
        x = np.linspace(log(1e-9 / wide), log(90.0 / narrow), points)
        self.u = np.exp(x + 1j * TURN)
        self.weight = (2.0 / pi) * float(x[1] - x[0])
        half_square = 0.5 * self.u**2
        phi = np.exp(-(sigma**2) * half_square)
        for c, nu in groups:
            over_w, weight = mixture_of_normals(nu)
            # Not by @: BLAS would share it among threads, which take ten times as long on a busy machine.
            phi *= np.einsum("ij,j->i", np.exp(np.multiply.outer(half_square, -(c * c) * over_w)), weight)
        self.phi = phi

    def beyond(self, h: float) -> float:
        return 0.75 - self.weight * float(np.sum((np.exp(1j * h * self.u) * self.phi).imag))

    def slope(self, h: float) -> float:
        return self.weight * float(np.sum((np.exp(1j * h * self.u) * self.phi * self.u).real))


@lru_cache(maxsize=64)
def _wide_range(sigma: float, groups: Groups) -> _Several:
    """Give a sum of parts for limits at any distance: scales of φ itself, and room for limits far outside."""
    scales = [sigma, *(c for c, _ in groups)]
    return _Several(sigma, groups, max(scales), 1e4 * fsum(scales), 2 * FOURIER_POINTS)


def _beyond(h: float, sigma: float, groups: Groups) -> float:
    """P(|error| > h)."""
    if not groups:
        return float(erfc(h / (sigma * sqrt(2.0))))
    if len(groups) == 1:
        c, nu = groups[0]
        return 2.0 * float(stdtr(nu, -h / c)) if sigma == 0.0 else _OneGroup(sigma, c, nu).beyond(h)
    return min(1.0, max(0.0, _wide_range(sigma, groups).beyond(h)))


@lru_cache(maxsize=4096)
def _half_width(sigma: float, groups: Groups, p: float) -> float:
    """Solve P(|error| ≤ h) = p."""
    quantile = 0.5 + p / 2.0
    own = [c * float(stdtrit(nu, quantile)) for c, nu in groups]
    if sigma:
        own.append(sigma * float(ndtri(quantile)))
    widest = max(own)
    if len(own) == 1:
        return widest
    error: _OneGroup | _Several
    if len(groups) == 1:
        error = _OneGroup(sigma, *groups[0])
    else:
        error = _Several(sigma, groups, widest, fsum(own), FOURIER_POINTS)
    # The tail falls ever more slowly, so that Newton's steps climb to the root and never pass it; a step that
    # comes from beyond it may fall too far, but no independent part makes an interval shorter (Anderson).
    h = hypot(*own)
    for _ in range(50):
        better = max(widest, h + (error.beyond(h) - (1.0 - p)) / error.slope(h))
        if abs(better - h) <= 1e-7 * h:  # what a step leaves is about its square
            return better
        h = better
    return h
