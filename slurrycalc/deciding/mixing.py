"""What becomes of a bed when a part of it is exchanged: mixing with buffering.

pH is no amount that averages, and neither does it pay to average the acid itself: substrate holds its pH by
what is bound to it. Two substrates meet at a mean of their pH, weighted by how well a volume of each holds
its own, its buffering capacity. Only the ratio r of the two capacities counts, fresh over old.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import exp, inf, isfinite, log
from typing import Final, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import BUFFERING_FACTOR, BUFFERING_SPREAD, Known
from slurrycalc.deciding.given import Given, nominal, taken, uncertain
from slurrycalc.metrology.along import Along
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import NORMAL_95, Source, Uncertain, fresh_key, linear, rectangular

Floats: TypeAlias = NDArray[np.float64]

LOG_FACTOR: Final = log(BUFFERING_FACTOR.value)
_LEFT_BY = "a mix of coir may hold it worse, and a limed one better (from memory)"
BUFFERING_ASSUMED: Final = (
    "How well the fresh mix holds its pH against the old is not known: equally well, within a factor of "
    f"{BUFFERING_FACTOR.value:g} (from {BUFFERING_FACTOR.known}); {_LEFT_BY}. A trial in jars shows it, and "
    "mostly saves substrate."
)
BUFFERING_UNTAUGHT: Final = (
    "How well the fresh mix holds its pH against the old is not known: equally well, within a factor of "
    f"{exp(NORMAL_95 * BUFFERING_SPREAD.value):.2g} ({BUFFERING_SPREAD.known}); {_LEFT_BY}. A trial in jars "
    "teaches it, and so does an exchange with its part and its mix on record, once the bed was read."
)
"""The same of a bed on record, whose model rests on the prior of ln r alone."""
# No two substrates differ by more (our own limit); a number beyond is a slip.
_FARTHEST_RATIO = 50.0
_POINTS = 16
_QUANTILES = 64
_FIRST_LOOK = 17
_HALVINGS = 30


def fresh_weight(fraction: float, r: float) -> float:
    """Give the weight that fresh substrate has in the pH of a mixed bed.

    Parameters
    ----------
    fraction : float
        Part of the bed's volume that is fresh, 0 to 1. [1]
    r : float
        Buffering capacity of a volume of fresh substrate over that of the old. [1]

    Returns
    -------
    float
        φ = f r / ((1 − f) + f r), so that pH after = pH now + φ (pH fresh − pH now). [1]

    References
    ----------
    .. [1] The definition of buffer capacity, β = dn/dpH: M. Koppel, K. Spiro, Biochem. Z. 65 (1914) 409, and
       D. D. Van Slyke, J. Biol. Chem. 52 (1922) 525 (from memory); constant capacities over the range mixed.

    Examples
    --------
    >>> fresh_weight(0.5, 1.0), round(fresh_weight(0.5, 2.0), 4)
    (0.5, 0.6667)
    """
    return fraction * r / ((1.0 - fraction) + fraction * r)


def fraction_of(weight: float, r: float) -> float:
    """Give the part of a bed to exchange for a weight of the fresh substrate: `fresh_weight` turned round.

    Parameters
    ----------
    weight : float
        φ, 0 to 1. [1]
    r : float
        Buffering capacity of fresh over old. [1]

    Returns
    -------
    float
        f = φ / (φ + r (1 − φ)). [1]

    Examples
    --------
    >>> round(fraction_of(fresh_weight(0.3, 1.7), 1.7), 12)
    0.3
    """
    return weight / (weight + r * (1.0 - weight))


@dataclass(frozen=True)
class Buffering:
    """What is known of how well fresh substrate holds its pH, compared with the old."""

    ratio: float
    """Capacity of a volume of fresh over one of old. [1]"""
    log_error: UFloat | None
    """Error of its logarithm, nominally 0; None where the ratio is taken as exact."""
    known: Known
    uniform: bool
    """Whether nothing is known but that it lies within the assumed factor."""

    @property
    def number(self) -> UFloat:
        """The ratio as an uncertain number."""
        if self.log_error is None:
            return linear(self.ratio, {})
        return linear(self.ratio, (self.ratio * self.log_error).derivatives)

    def nodes(self, split: float = 1.0) -> tuple[Floats, Floats]:
        """Give ratios that stand for all that are possible, and the probability of each.

        Parameters
        ----------
        split : float
            A ratio at which what is averaged may jump. [1]

        Returns
        -------
        ratios, probabilities : array
            Of a uniform ln r: 16 points of Gauss and Legendre on either side of the jump. Else evenly spaced
            quantiles.

        Examples
        --------
        >>> r, weight = buffering(None).nodes()
        >>> round(float(r @ weight), 4)  # (2 - 1/2) / (2 ln 2)
        1.082
        """
        if self.log_error is None:
            return np.array([self.ratio]), np.ones(1)
        if not self.uniform:
            return _quantiles(self.ratio, self.log_error)
        jump = min(max(log(split), -LOG_FACTOR), LOG_FACTOR) if split > 0.0 else -LOG_FACTOR
        x, weight = _gauss_legendre()
        low, high = (jump + LOG_FACTOR) / 2.0, (LOG_FACTOR - jump) / 2.0
        ln_r = np.concatenate([-LOG_FACTOR + low * (x + 1.0), jump + high * (x + 1.0)])
        return np.exp(ln_r), np.concatenate([low * weight, high * weight]) / (2.0 * LOG_FACTOR)


@cache
def _gauss_legendre() -> tuple[Floats, Floats]:
    x, weight = np.polynomial.legendre.leggauss(_POINTS)
    return x, weight


def _quantiles(ratio: float, log_error: UFloat) -> tuple[Floats, Floats]:
    upper = [half_width(log_error, (2 * i + 1) / _QUANTILES) for i in range(_QUANTILES // 2)]
    return ratio * np.exp([*(-each for each in reversed(upper)), *upper]), np.full(_QUANTILES, 1 / _QUANTILES)


def buffering(given: Given | None) -> Buffering:
    """Take in what is known of the ratio of buffering capacities.

    Parameters
    ----------
    given : float, str, UFloat or None
        Fresh over old, per volume; a plain number is taken as exact. None: 1 within a factor of two. [1]

    Returns
    -------
    Buffering
        With how it is known.

    Raises
    ------
    Refusal
        If it is no such ratio.

    Examples
    --------
    >>> buffering(None).known, buffering(1.4).known
    ('memory', 'given')
    """
    if given is None:
        source = Source(
            fresh_key("buffering"),
            "buffering capacity of fresh over old, its logarithm",
            known=BUFFERING_FACTOR.known,
            ground=BUFFERING_FACTOR.ground,
        )
        error = linear(0.0, {Variable(0.0, rectangular(LOG_FACTOR), tag=source): 1.0})
        return Buffering(1.0, error, BUFFERING_FACTOR.known, uniform=True)
    number = taken(given, "number", "buffering")
    ratio = nominal(number)
    if not 1.0 / _FARTHEST_RATIO <= ratio <= _FARTHEST_RATIO:
        raise Refusal(
            f"{quoted(given)} cannot be how well fresh substrate holds its pH over how well the old does "
            f"({1 / _FARTHEST_RATIO:g} to {_FARTHEST_RATIO:g}): leave it away, or give for instance 1.4."
        )
    if not isinstance(number, UFloat) or number.s == 0.0:
        return Buffering(ratio, None, "given", uniform=False)
    error = linear(0.0, (number / ratio).derivatives)
    return Buffering(ratio, error, "measured", uniform=False)


class Knob(NamedTuple):
    """How the part exchanged moves a result along its line."""

    at: Callable[[float, Floats], Floats]
    """Place on the line, from the part exchanged and the ratio of capacities."""
    needed: Callable[[float, float], float]
    """The ratio at which a part takes the result to a place on the line; 0 where any does, inf where none."""


def _weight(fraction: float, r: Floats) -> Floats:
    return fraction * r / ((1.0 - fraction) + fraction * r)


def _needed_weight(fraction: float, place: float) -> float:
    if place <= 0.0 or fraction >= 1.0:
        return 0.0
    if fraction <= 0.0 or place >= 1.0:
        return inf
    return place / (1.0 - place) * (1.0 - fraction) / fraction


def _volume(fraction: float, r: Floats) -> Floats:
    return np.full_like(r, fraction)


MIXING: Final = Knob(_weight, _needed_weight)
"""One exchange, well mixed: the place is φ."""
BY_VOLUME: Final = Knob(_volume, lambda fraction, place: 0.0 if place <= fraction else inf)
"""What mixes by volume, whatever the capacities: salts."""


def chance(line: Along, knob: Knob, fraction: float, known: Buffering) -> float:
    """Give the probability that a part exchanged is enough.

    Parameters
    ----------
    line : Along
        What must be above 0.
    knob : Knob
        How the part exchanged moves it.
    fraction : float
        The part. [1]
    known : Buffering
        Over which the probability is averaged.

    Returns
    -------
    float
        Between 0 and 1.

    Examples
    --------
    >>> round(chance(Along(5.1 - 5.9, 6.6 - 5.1), MIXING, 0.533, buffering(None)), 2)
    0.5
    """
    zero = line.zero()
    split = 1.0 if zero is None else knob.needed(fraction, zero)
    r, weight = known.nodes(split if isfinite(split) else exp(LOG_FACTOR))
    places = knob.at(fraction, r)
    if (places == places[0]).all():  # by volume: the ratio moves nothing, and one place tells all
        return float(line.above_zero(places[:1])[0])
    return float(line.above_zero(places) @ weight)


def assured(line: Along, knob: Knob, known: Buffering, p: float = 0.95) -> float | None:
    """Find the smallest part of a bed whose exchange is enough with a probability.

    Parameters
    ----------
    line : Along
        What must be above 0.
    knob : Knob
        How the part exchanged moves it.
    known : Buffering
        Over which the probability is averaged.
    p : float
        The probability.

    Returns
    -------
    float or None
        0 to 1; None where even the whole is not enough. [1]

    Notes
    -----
    For exact numbers it is q/(1 + q), q = φ/(1 − φ)·2^0.9 at p = 0.95, φ the weight that just reaches it.

    Examples
    --------
    >>> round(assured(Along(5.1 - 5.9, 6.6 - 5.1), MIXING, buffering(None)), 3)
    0.681
    """

    def enough(fraction: float) -> bool:
        return chance(line, knob, fraction, known) >= p - 1e-12

    low = 0.0
    if enough(low):
        return low
    # The chance need not rise all the way: a doubtful fresh mix makes a sure bed doubtful.
    for high in np.linspace(0.0, 1.0, _FIRST_LOOK)[1:].tolist():
        if enough(high):
            break
        low = high
    else:
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if enough(middle) else (middle, high)
    return float(high)


def mixed(now: Uncertain, fresh: Uncertain, fraction: float, known: Buffering) -> UFloat:
    """Give the pH of a bed after an exchange.

    Parameters
    ----------
    now, fresh : float or UFloat
        Of the bed before it, and of the fresh substrate. [pH]
    fraction : float
        Part exchanged. [1]
    known : Buffering
        Its doubt is carried to first order in ln r.

    Returns
    -------
    UFloat
        [pH]

    Examples
    --------
    >>> print(f"{mixed(5.1, 6.6, 0.5, buffering(1.0)).n:.2f}")
    5.85
    """
    weight = fresh_weight(fraction, known.ratio)
    shift: Uncertain = weight
    if known.log_error is not None:
        shift = weight + weight * (1.0 - weight) * known.log_error
    total = uncertain(now) + shift * (fresh - now)
    return linear(total.n, dict(total.derivatives))
