"""A soil probe against the slurries of the same spots: the mean difference, and how the pairs scatter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from uncertainties import UFloat

from slurrycalc.measuring.expected import DEFAULT, PROBES, Expected, resolve
from slurrycalc.measuring.probe.limits import ClassicLimits, classic_limits
from slurrycalc.measuring.probe.pairs import checked_pairs
from slurrycalc.measuring.wording import seldom
from slurrycalc.metrology.annotate import PH, NumberValue, PHValue
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.figures import number
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import ScatterFit, scatter_fit


@dataclass(frozen=True)
class Comparison(Valued, value="offset", words="offset {+} pH", says=("meaning",)):
    """How a probe compares with slurries taken where it stood; not what its next indication means."""

    n: int
    probe: tuple[PHValue, ...]
    slurry: tuple[PH, ...]
    offset: PH
    """Mean of probe minus slurry over these pairs, at their pH."""
    spread: PHValue | None
    """Standard deviation of the pairs' own differences; None from a single pair."""
    scatter_sd: PHValue
    """Standard deviation of a difference that the intervals use: these pairs' and the expected one pooled."""
    scatter_dof: NumberValue
    own_share: NumberValue
    """The part of it that rests on these pairs."""
    limits: tuple[PHValue, PHValue]
    """Where the next pair's difference lies, 95 in 100 (a prediction interval)."""
    classic: ClassicLimits | None
    """The classic limits of agreement; None below three pairs."""
    span: PHValue
    """Distance between the lowest and the highest slurry."""
    remarks: tuple[Remark, ...]

    @property
    def meaning(self) -> str:
        """The sentence that a person reads."""
        off, half = self.offset.n, half_width(self.offset)
        pairs = "one pair" if self.n == 1 else f"{self.n} pairs"
        return (
            f"On average the probe shows {number(abs(off), half)} {'more' if off >= 0 else 'less'} than a "
            f"slurry of the same spot, by {pairs}."
        )


def compare(
    probe: Sequence[float | str],
    slurry: Sequence[float | str | UFloat],
    expected: Expected = DEFAULT,
    *,
    resolution: float = 0.0,
) -> Comparison:
    """Compare a probe's indications with the slurry pH of the same spots.

    Parameters
    ----------
    probe : sequence, array or Series of float or str
        What the probe showed, before the substrate was taken for the slurry. [pH]
    slurry : sequence, array or Series of float, str or UFloat
        The slurry pH of the same spots, in the same order. Uncertain values keep what they share: a
        calibration error common to the slurries stays in the offset, however many pairs there are. [pH]
    expected : Scatter, DEFAULT or None
        What is known of the scatter of a difference beforehand; by default Scatter(0.40, 2). None: the pairs
        alone, at least two. [pH]
    resolution : float
        Smallest step of the probe's display, where it is coarse. [pH]

    Returns
    -------
    Comparison
        Offset, spread and limits; what an indication means is for `response` and `update` to say.

    Raises
    ------
    Refusal
        If the lists differ in length, are empty, or hold something that is no pH; or if the pairs stand alone
        and show no scatter at all.

    References
    ----------
    .. [1] J. M. Bland, D. G. Altman, Lancet 327 (1986) 307-310, for the classic limits.
    .. [2] JCGM 100:2008 (GUM), 4.2 and 4.3.

    Examples
    --------
    >>> pairs = compare([5.9, 6.1], [5.4, 5.7])
    >>> print(f"{pairs.offset.n:+.2f}, {pairs.own_share:.2f}")
    +0.45, 0.33
    """
    shown, slurries = checked_pairs(probe, slurry)
    n = len(shown)
    usual = resolve(expected, PROBES)
    differences = [x - y for x, y in zip(shown, slurries, strict=True)]
    fit = scatter_fit(np.ones((n, 1)), differences, usual, resolution=resolution, name="probe against slurry")
    # 6.1 - 5.6 and 6.0 - 5.5 are a hair apart in binary.
    if usual is None and fit.sd < 1e-9:
        raise Refusal(
            f"the {n} pairs agree to the last digit, which shows the step of the displays and not that "
            "nothing scatters: give the probe's step, such as 0.1, let the usual scatter count, or take one "
            "more pair."
        )
    ph = [float(getattr(value, "n", value)) for value in slurries]
    nominal = [float(getattr(value, "n", value)) for value in differences]
    predicted = interval(fit.predict([1.0]))
    return Comparison(
        n=n,
        probe=shown,
        slurry=slurries,
        offset=fit.coefficients[0],
        spread=float(np.std(nominal, ddof=1)) if n > 1 else None,
        scatter_sd=fit.sd,
        scatter_dof=fit.dof,
        own_share=1.0 - fit.expected_share,
        limits=(predicted.low, predicted.high),
        classic=classic_limits(nominal) if n > 2 else None,
        span=max(ph) - min(ph),
        remarks=tuple(_scatter_remark(fit)),
    )


def _scatter_remark(fit: ScatterFit) -> list[Remark]:
    if not fit.surprising or fit.expected is None or fit.own_sd is None:
        return []
    return [
        Remark(
            "scatters-more",
            f"The pairs scatter by {fit.own_sd:.2f} pH, more than the {fit.expected.sd:.2f} expected (by "
            f"chance {seldom(fit.flag_level)}): was each slurry taken where the probe had stood?",
        )
    ]
