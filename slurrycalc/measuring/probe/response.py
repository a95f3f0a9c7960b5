"""How a probe's indication responds to slurry pH: the gain that its pairs show, and whether it follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf, sqrt
from typing import Final, Literal, NamedTuple

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import (
    PAIRS_SPAN,
    PROBE_FOLLOWS,
    PROBE_GAIN,
    PROBE_GAIN_U,
    PROBE_SURE,
)
from slurrycalc.measuring.expected import DEFAULT, RESPONSES, Expected, resolve
from slurrycalc.measuring.probe.pairs import checked_pairs
from slurrycalc.measuring.probe.slurries import mean_of_shared
from slurrycalc.measuring.wording import count
from slurrycalc.metrology.annotate import PH, Number, NumberValue, PHValue
from slurrycalc.metrology.batch import Floats
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.figures import plus_minus
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Source, fresh_key, from_resolution, linear

Follows = Literal["follows", "does not follow", "not shown yet"]

USUAL_GAIN: Final = (PROBE_GAIN.value, PROBE_GAIN_U.value)
"""What is expected of a probe's gain, and its standard uncertainty. [pH per pH]"""
_ROUNDS = 500  # a hundred at most were needed; each is a few products
_SETTLED = 1e-13

# By simulation six find 77 and ten 97 of 100 dead probes, and 24 in one drifting bed 14.
PROOF: Final = "Take six to ten pairs, half of them in fresh mix."
_HALF = 5  # of those ten


@dataclass(frozen=True)
class ProbeResponse(Result, says=("text",)):
    """A probe's indication as a line of slurry pH, with what is expected of probes beforehand."""

    n: int
    indication: PHValue
    """Mean indication of the pairs."""
    slurry: PH
    """Mean of their slurries, uncertain by what several share: their calibration."""
    gain: Number
    """Indication per unit of slurry pH."""
    sd: PHValue
    """Scatter of an indication about the line, these pairs' and the expected one pooled."""
    dof: NumberValue
    """What it is worth."""
    chance: NumberValue
    """Probability that the gain is one of a probe that follows."""
    state: Follows
    span: PHValue
    """Distance between the lowest and the highest slurry."""
    reach: tuple[PHValue, PHValue]
    """Lowest and highest indication of the pairs."""
    text: tuple[str, str]
    """What it means, and what to do; nothing is to be done where it follows."""
    remarks: tuple[Remark, ...]
    _scatter: Source = field(repr=False)

    def shows(self, ph: float) -> UFloat:
        """Give what the probe is to show, once, where a slurry reads a pH. [pH]."""
        line = self.indication + self.gain * (ph - self.slurry)
        return line + Variable(0.0, sqrt(1.0 + 1.0 / self.n) * self.sd, tag=self._scatter)


class _Slope(NamedTuple):
    """Gain [pH per pH], its standard uncertainty, and the variance about the line [pH²]."""

    gain: float
    u: float
    variance: float


def response(
    probe: Sequence[float | str],
    slurry: Sequence[float | str | UFloat],
    expected: Expected = DEFAULT,
    *,
    gain: tuple[float, float] | None = USUAL_GAIN,
    resolution: float = 0.0,
) -> ProbeResponse:
    """Find how a probe's indication responds to slurry pH.

    The slurry is the good measurement and the probe the poor one, so the indication is regressed on the
    slurry. The other way round, the probe's scatter flattens the line and a low spot is taken for a better
    one.

    Parameters
    ----------
    probe : sequence, array or Series of float or str
        What the probe showed. [pH]
    slurry : sequence, array or Series of float, str or UFloat
        The slurry pH of the same spots, in the same order. What several share, their calibration, stays
        shared; what one has alone shows in how the pairs scatter. [pH]
    expected : Scatter, DEFAULT or None
        What is known beforehand of how indications scatter about the line; by default Scatter(0.30, 2). None:
        the pairs alone. [pH]
    gain : (float, float) or None
        What is expected of the gain and its standard uncertainty; by default 0.8 and 0.4. None: the pairs
        alone. [pH per pH]
    resolution : float
        Smallest step of the probe's display; counts where it showed the same twice. [pH]

    Returns
    -------
    ProbeResponse
        "follows" where the gain is above 0.5 with a probability of 0.95 or more, "does not follow" where of
        0.05 or less, else "not shown yet".

    Raises
    ------
    Refusal
        If the lists make no pairs, or stand alone and show no gain or no scatter.

    References
    ----------
    .. [1] C. Osborne, "Statistical calibration: a review", Int. Stat. Rev. 59 (1991) 309 (from memory).

    Examples
    --------
    >>> response([5.9, 6.1], [5.4, 5.7]).state
    'not shown yet'
    >>> response([5.4, 5.6, 5.5, 6.9, 7.1, 7.0], [5.0, 5.1, 5.0, 6.5, 6.6, 6.5]).state
    'follows'
    """
    shown, slurries = checked_pairs(probe, slurry)
    usual, n = resolve(expected, RESPONSES), len(shown)
    x, y = np.array(shown), np.array([float(getattr(one, "n", one)) for one in slurries])
    dx, dy = x - x.mean(), y - y.mean()
    dof = n - 1 + (0.0 if usual is None else usual.dof) - (gain is None)
    if dof < 1.0 or (gain is None and not dy.any()):
        raise Refusal(
            f"these {n} pairs alone show no response: take a pair in fresh mix, such as 6.9=6.50, or let "
            "count what is expected of probes."
        )
    line = _settle(dx, dy, usual, gain, dof)
    if usual is None and line.variance < 1e-18:
        raise Refusal(
            f"the {n} pairs agree to the last digit, which shows the step of the displays and not that "
            "nothing scatters: let the usual scatter count, or take one more pair."
        )
    tied = from_resolution(resolution) ** 2 if len(set(shown)) < n else 0.0
    sd = sqrt(line.variance + tied)
    source = Source(
        fresh_key("response"), "probe about its response", "A", dof, fresh_key("response"), "measured"
    )
    # How far the gain moves with each slurry, the scatter held: what slurries share moves it with them.
    moves = line.u**2 / line.variance * (dx - 2.0 * line.gain * dy)
    shared = mean_of_shared(slurries, moves.tolist())
    found = linear(line.gain, {**shared.derivatives, Variable(0.0, line.u, tag=source): 1.0})
    chance = probability(found, above=PROBE_FOLLOWS.value)
    state: Follows = "not shown yet"
    if chance >= PROBE_SURE.value:
        state = "follows"
    elif chance <= 1.0 - PROBE_SURE.value:
        state = "does not follow"
    span = float(np.ptp(y))
    return ProbeResponse(
        n=n,
        indication=float(x.mean()),
        slurry=mean_of_shared(slurries, [1.0 / n] * n),
        gain=found,
        sd=sd,
        dof=dof,
        chance=chance,
        state=state,
        span=span,
        reach=(min(shown), max(shown)),
        text=_text(state, found, y.tolist()),
        remarks=_remarks(state, n, span),
        _scatter=source,
    )


def _settle(
    dx: Floats, dy: Floats, usual: Scatter | None, gain: tuple[float, float] | None, dof: float
) -> _Slope:
    """Find gain and scatter in turn, each given the other, from the expected scatter on."""
    expects, u = gain if gain is not None else (0.0, inf)
    weight, S, C = u**-2, float(dy @ dy), float(dx @ dy)
    stated = usual is not None and usual.dof == inf
    before = 0.0 if usual is None or stated else usual.dof * usual.sd**2
    variance = usual.sd**2 if usual is not None else 1.0
    found = expects
    for _ in range(_ROUNDS):
        last, found = found, (weight * expects + C / variance) / (weight + S / variance)
        if not stated:
            left = dx - found * dy
            variance = max((float(left @ left) + before) / dof, 1e-20)
        if abs(found - last) < _SETTLED:
            break
    return _Slope(found, (weight + S / variance) ** -0.5, variance)


def _text(state: Follows, gain: UFloat, slurries: Sequence[float]) -> tuple[str, str]:
    if state == "follows":
        each = plus_minus(gain.n, half_width(gain))
        return f"This probe follows your slurries: {each} for each unit of pH.", ""
    if state == "does not follow":
        return "This probe does not follow your slurries.", "Decide by slurries."
    return "Not yet shown to follow: it may warn, not reassure.", _proof(slurries)


def _proof(slurries: Sequence[float]) -> str:
    """Say how many pairs are missing, and where, by where those taken lie. [pH]."""
    least, most = min(slurries), max(slurries)
    if len(slurries) < _HALF + 1:
        return PROOF
    if most - least < PAIRS_SPAN.value:
        return f"Take {count(_HALF)} more pairs, in fresh mix."
    low = sum(ph < (least + most) / 2.0 for ph in slurries)
    missing = max(0, _HALF - low), max(0, _HALF - (len(slurries) - low))
    where = "half of them in fresh mix" if all(missing) else "in fresh mix" if missing[1] else "in a bed"
    if not any(missing):
        return f"Take {count(_HALF - 1)} more pairs, half of them in fresh mix."
    n = sum(missing)
    return f"Take {count(n)} more pair{'' if n == 1 else 's'}, {where}."


def _remarks(state: Follows, n: int, span: float) -> tuple[Remark, ...]:
    """Say why pairs show nothing, where they lie at one pH."""
    if state != "not shown yet" or n < 2 or span > 0.0:
        return ()
    return (
        Remark(
            "pairs-at-one-ph",
            "All pairs lie at one pH, where a probe that always shows the same would agree as well.",
        ),
    )
