"""A soil probe against the slurries of the same spots: what its next indication means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import sqrt
from typing import Literal

import numpy as np
from uncertainties import UFloat

from slurrycalc.data.assumed import LINE_GAIN, LINE_PAIRS, PROBE_FOLLOWS, PROBE_SPAN
from slurrycalc.measuring.expected import DEFAULT, PROBES, Expected, resolve
from slurrycalc.measuring.probe.limits import ClassicLimits, classic_limits
from slurrycalc.measuring.probe.pairs import checked_pairs, checked_ph, outside_pairs
from slurrycalc.measuring.probe.slurries import shared_u
from slurrycalc.metrology.annotate import PH, Number, NumberValue, PHValue
from slurrycalc.metrology.coverage import Interval, half_width, interval
from slurrycalc.metrology.figures import in_a_line
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit

Way = Literal["offset", "line"]

ON_AVERAGE = Remark(
    "average-over-ph",
    "This interval is right on average over the pH of the pairs. At the low end an offset alone can cover as "
    "little as 0.74 (lowest quarter of a field's indications, simulated from LimeSoDa's data): check a low "
    "indication with a slurry.",
)


@dataclass(frozen=True)
class ProbeLine(Valued, value="slope", words="slope {}"):
    """Slurry pH as a straight line of the probe's indication."""

    at: PHValue
    """The indication that the line is centred on."""
    level: PH
    """Slurry pH there."""
    slope: Number
    """Slurry pH per unit of indication."""
    sd: PHValue
    """Scatter of the slurries about the line."""
    _fit: ScatterFit = field(repr=False)


@dataclass(frozen=True)
class CorrectedReading(Valued, value="ph"):
    """The slurry pH that one indication of the probe means."""

    indication: PHValue
    ph: PH
    """It includes the scatter of one probe indication against one slurry."""
    coverage_interval: Interval = field(metadata={"json": "interval"})
    """Of the pH, at `p`."""
    p: NumberValue
    way: Way
    remarks: tuple[Remark, ...]
    slurries_share_u: PHValue
    """Standard uncertainty that slurries made now would share, by what those of the pairs shared."""

    def _body(self) -> str:
        return f"{self.indication:g} means {in_a_line(self.ph.n, self.coverage_interval, self.p)}"


@dataclass(frozen=True)
class Comparison(Valued, value="offset", words="offset {+} pH", says=("why",)):
    """How a probe compares with slurries taken where it stood."""

    n: int
    probe: tuple[PHValue, ...]
    slurry: tuple[PH, ...]
    offset: PH
    """Mean of probe minus slurry. Its negative is the correction."""
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
    line: ProbeLine | None
    """None below six pairs, or where the probe always said the same."""
    way: Way
    """Whether corrections use the offset or the line."""
    why: str
    span: PHValue
    """Distance between the lowest and the highest slurry."""
    responds: bool
    """Whether the pairs have shown that the probe follows the slurries."""
    remarks: tuple[Remark, ...]
    _fit: ScatterFit = field(repr=False)

    @property
    def correction(self) -> UFloat:
        """What to add to an indication [pH], the negative of the offset."""
        return -self.offset

    @property
    def lasting_scatter(self) -> float:
        """Scatter [pH] that many more pairs would leave: these pairs' own, from three on."""
        fit = self.line._fit if self.way == "line" and self.line is not None else self._fit
        return fit.sd if self.n < 3 or fit.own_sd is None else fit.own_sd

    def correct(self, indication: float | str, p: float = 0.95) -> CorrectedReading:
        """Give the slurry pH that an indication of the probe means.

        Parameters
        ----------
        indication : float or str
            What the probe shows. [pH]
        p : float
            Coverage probability of the interval.

        Returns
        -------
        CorrectedReading
            With the prediction interval for a slurry of that spot.

        Raises
        ------
        Refusal
            If the indication is no pH between 0 and 14.

        Examples
        --------
        >>> pairs = compare([5.9, 6.1], [5.4, 5.7])
        >>> corrected = pairs.correct(5.9)
        >>> print(f"{corrected.ph.n:.2f}, {corrected.way}")
        5.45, offset
        """
        shown = checked_ph(indication, "the probe's indication")
        remarks = [remark for remark in self.remarks if remark.kind != "scatters-more"]
        if self.way == "line" and self.line is not None:
            ph = self.line._fit.predict([1.0, shown - self.line.at])
        else:
            ph = shown - self._fit.predict([1.0])
        outside = outside_pairs(shown, min(self.probe), max(self.probe), n=self.n)
        remarks += [] if outside is None else [outside]
        share = shared_u(self.slurry)
        return CorrectedReading(shown, ph, interval(ph, p), p, self.way, tuple(remarks), share)

    def indication_of(self, ph: float) -> float:
        """Give the indication that means a slurry pH.

        Parameters
        ----------
        ph : float
            Of a slurry. [pH]

        Returns
        -------
        float
            What the probe would show, within 0 to 14; the middle of its pairs where it does not rise with the
            pH. [pH]

        Examples
        --------
        >>> round(compare([5.9, 6.1], [5.4, 5.7]).indication_of(5.4), 2)
        5.85
        """
        shown = float(ph + self.offset.n)
        if self.way == "line" and self.line is not None:
            rises = self.line.slope.n > 0.0
            shown = self.line.at + float((ph - self.line.level.n) / self.line.slope.n if rises else 0.0)
        return min(max(shown, 0.0), 14.0)

    def step(self, p: float = 0.95) -> float:
        """Give the smallest difference between two indications' meanings that is more than scatter.

        What the two share, the offset and the slurries' calibration, cancels.

        Parameters
        ----------
        p : float
            Coverage probability.

        Returns
        -------
        float
            Half-width of the interval of the difference of two new indications. [pH]

        Examples
        --------
        >>> print(f"{compare([5.9, 6.1], [5.4, 5.7]).step():.2f}")
        1.48
        """
        if self.way == "line" and self.line is not None:
            fit, row = self.line._fit, [1.0, 0.0]
        else:
            fit, row = self._fit, [1.0]
        return half_width(fit.predict(row) - fit.predict(row), p)


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
        Offset, spread, limits, and the way to correct.

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
    >>> print(f"{pairs.offset.n:+.2f}, {pairs.way}, {pairs.own_share:.2f}")
    +0.45, offset, 0.33
    """
    shown, slurries = checked_pairs(probe, slurry)
    n = len(shown)
    usual = resolve(expected, PROBES)
    differences = [x - y for x, y in zip(shown, slurries, strict=True)]
    fit = scatter_fit(np.ones((n, 1)), differences, usual, resolution=resolution, name="probe against slurry")
    line, way, why = _line(shown, slurries, fit, usual, resolution)
    _refuse_certainty(line._fit if way == "line" and line is not None else fit, usual)
    ph = [float(getattr(value, "n", value)) for value in slurries]
    span = max(ph) - min(ph)
    responds, remarks = _response(np.array(shown), np.array(ph), span)
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
        line=line,
        way=way,
        why=why,
        span=span,
        responds=responds,
        remarks=(*remarks, *([ON_AVERAGE] if way == "offset" else []), *_scatter_remark(fit)),
        _fit=fit,
    )


def _line(
    shown: tuple[float, ...],
    slurries: Sequence[float | UFloat],
    offset: ScatterFit,
    usual: Scatter | None,
    resolution: float,
) -> tuple[ProbeLine | None, Way, str]:
    """Fit the line where there are pairs enough, and choose between it and the offset."""
    n, needed = len(shown), int(LINE_PAIRS.value)
    if n < needed:
        return None, "offset", f"An offset, since a line needs {needed} pairs and there {_are(n)}."
    x = np.array(shown)
    if np.ptp(x) == 0.0:
        return None, "offset", f"An offset, since the probe showed {x[0]:.2f} in every pair."
    centre = float(x.mean())
    X = np.column_stack([np.ones(n), x - centre])
    fit = scatter_fit(X, list(slurries), usual, resolution=resolution, name="slurry about the probe's line")
    leverage = 1.0 / n + (x - centre) ** 2 / float(((x - centre) ** 2).sum())
    # Left out in turn, a pair's error follows from its residual and leverage: no refit is needed.
    with np.errstate(divide="ignore", invalid="ignore"):
        by_line = _rms(np.asarray(fit.residuals) / (1.0 - leverage))
    by_offset = _rms(np.asarray(offset.residuals) * n / (n - 1))
    line = ProbeLine(centre, fit.coefficients[0], fit.coefficients[1], fit.sd, fit)
    figures = (
        f"left out in turn, the pairs are missed by {by_line:.2f} with a line and by {by_offset:.2f} with an "
        "offset"
    )
    if by_line < (1.0 - LINE_GAIN.value) * by_offset:
        return line, "line", f"A line: {figures}."
    rule = f"a line must be better by {LINE_GAIN.value:.0%} to be worth its doubt"
    return line, "offset", f"An offset: {figures}; {rule}."


def _refuse_certainty(fit: ScatterFit, usual: Scatter | None) -> None:
    """Refuse pairs alone that would make an interval of no width."""
    # 6.1 - 5.6 and 6.0 - 5.5 are a hair apart in binary.
    if usual is None and fit.sd < 1e-9:
        raise Refusal(
            f"the {fit.n} pairs agree to the last digit, which shows the step of the displays and not that "
            "nothing scatters: give the probe's step, such as 0.1, let the usual scatter count, or take one "
            "more pair."
        )


def _response(shown: np.ndarray, ph: np.ndarray, span: float) -> tuple[bool, list[Remark]]:
    """Say whether the pairs show that the probe follows the slurries."""
    # 6.1 - 5.4 is a hair less than 0.7 in binary.
    if span < PROBE_SPAN.value - 1e-9:
        seen = "it has one pair" if len(ph) == 1 else f"its slurries span only {span:.2f} pH"
        return False, [
            Remark(
                "not-seen-to-respond",
                f"This probe has not been seen to respond: {seen}, and a probe that always shows the same "
                f"would agree as well. Pairs that span {PROBE_SPAN.value:g} pH (our own figure) would show "
                "it, for instance one in fresh mix.",
            )
        ]
    per_ph = float(np.polyfit(ph, shown, 1)[0])
    if per_ph < PROBE_FOLLOWS.value:
        return False, [
            Remark(
                "does-not-follow",
                f"This probe follows the slurries by only {per_ph:.2f} for each unit of pH, over {span:.2f} "
                "pH: do not act on it.",
            )
        ]
    return True, []


def _scatter_remark(fit: ScatterFit) -> list[Remark]:
    if not fit.surprising or fit.expected is None or fit.own_sd is None:
        return []
    return [
        Remark(
            "scatters-more",
            f"The pairs scatter by {fit.own_sd:.2f} pH, more than the {fit.expected.sd:.2f} expected (by "
            "chance less than 1 in 100): was each slurry taken where the probe had stood?",
        )
    ]


def _rms(values: np.ndarray) -> float:
    return sqrt(float(np.mean(np.square(values))))


def _are(n: int) -> str:
    return "is one" if n == 1 else f"are {n}"
