"""Buffers read again: another bottle as a check, and the first one at the close of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.metrology.annotate import PH, PHValue
from slurrycalc.metrology.coverage import Interval, interval
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import Inputs, Source, rectangular

if TYPE_CHECKING:
    from slurrycalc.measuring.electrode.calibration import Calibration

CHECKED, HELD = "checked-among-jars", "read-again-among-jars"
"""Kinds of remarks of two buffers with a check bottle among the jars."""


@dataclass(frozen=True)
class BufferCheck(Valued, value="difference", says=("text",)):
    """A bottle that the calibration does not rest on, read as if it were a sample."""

    buffer: str
    difference: PH
    """What was read less what the bottle should have."""
    coverage_interval: Interval = field(metadata={"json": "interval"})
    """Of the difference, at the probability by which it was judged."""
    agrees: bool
    """Whether 0 lies inside it."""
    text: str
    """The sentence that a person reads."""


@dataclass(frozen=True)
class Drift(Valued, value="change", says=("text",)):
    """How far the meter moved from the calibration to the close."""

    buffer: str
    change: PH
    """What was read at the close less what the same bottle read before."""
    u: PHValue
    """Standard uncertainty that every reading of the day has from it."""
    flagged: bool
    """Whether the change is more than its own interval explains."""
    text: str
    """The sentence that a person reads."""


def buffer_check(buffer: str, difference: UFloat, p: float = 0.95, *, again: bool = False) -> BufferCheck:
    """Judge a check buffer.

    Parameters
    ----------
    buffer : str
        What it is called.
    difference : UFloat
        What was read less what the bottle should have; what both share has cancelled. [pH]
    p : float
        Coverage probability of the interval.
    again : bool
        Whether it is one of the calibration's own, and the difference is from what it read before.

    Returns
    -------
    BufferCheck
        Agreement where 0 lies inside the interval.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.2.2, for the correlated difference; JCGM 101:2008 for its interval.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> buffer_check("10.01", ufloat(0.12, 0.03)).agrees
    False
    """
    bounds = interval(difference, p)
    agrees = bounds.low <= 0.0 <= bounds.high
    half = bounds.half_width
    before, explain, off = "what it should have", "the uncertainties explain", "bottle or calibration is off"
    if again:
        before, explain, off = "before", "reading it twice explains", "bottle or meter changed"
    text = f"The check bottle {buffer} read {difference.n:+.2f} pH from {before}, "
    if agrees:
        text += f"within the ±{half:.2f} that {explain}: it agrees."
    else:
        text += f"more than the ±{half:.2f} that {explain}: {off}; open fresh buffers."
    return BufferCheck(buffer, difference, bounds, agrees, text)


def drift_of(buffer: str, change: UFloat, p: float = 0.95) -> Drift:
    """Judge how far the meter moved.

    Parameters
    ----------
    buffer : str
        What the bottle is called.
    change : UFloat
        What was read at the close less what the same bottle read before; its own error has cancelled. [pH]
    p : float
        Coverage probability of the interval that flags it.

    Returns
    -------
    Drift
        A reading at an unknown time of the day is off by anything between none and all of the change:
        u = abs(change)/√3.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3.7 and F.2.4.5.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> drift_of("7.00", ufloat(0.06, 0.01)).flagged
    True
    """
    half = interval(change, p).half_width
    flagged = abs(change.n) > half
    if flagged:
        text = (
            f"The meter drifted by {change.n:+.2f} pH in {buffer}, more than the ±{half:.2f} that reading "
            "it twice explains; every reading of the day carries that. Calibrate again, and read doubtful "
            "jars anew."
        )
    else:
        text = (
            f"At the close {buffer} read {change.n:+.2f} pH from before, within the ±{half:.2f} that reading "
            "it twice explains: no drift to be seen."
        )
    return Drift(buffer, change, drift_u(change.n), flagged, text)


def drift_u(change: float) -> float:
    """Give the standard uncertainty that every reading of the day has from a drift.

    Parameters
    ----------
    change : float
        What was read at the close less what the same bottle read before. [pH]

    Returns
    -------
    float
        To a billionth, so that it is the same input however the change was computed. [pH]

    Examples
    --------
    >>> round(drift_u(-0.03), 4)
    0.0173
    """
    return round(rectangular(abs(change)), 9)


def drift_error(u: float, buffer: str, key: str, inputs: Inputs) -> Variable:
    """Give the error that a drift puts on every reading of the day.

    Parameters
    ----------
    u : float
        From `drift_u`. [pH]
    buffer : str
        What the bottle is called.
    key : str
        Of the closing reading.
    inputs : Inputs
        Where it is kept.

    Returns
    -------
    Variable
        Nominally 0. [pH]
    """
    ground = f"{buffer} read again at the close"
    source = Source(f"{key}:drift", "drift until the close", known="measured", ground=ground)
    return inputs.variable(u, source)


def checked_among(calibration: Calibration, checks: Sequence[BufferCheck]) -> Calibration:
    """Have a calibration by two buffers say which bottles among the jars check it.

    A third buffer checks the two; one of the two, read again, shows only that the meter held.
    """
    if calibration.p_value is not None or not checks:
        return calibration
    own = {point.buffer for point in calibration.points}
    third = list(dict.fromkeys(one.buffer for one in checks if one.buffer not in own))
    if third:
        off = any(not one.agrees for one in checks if one.buffer not in own)
        said = f"{', '.join(third)}, read among the jars, checks these two buffers, and "
        remark = Remark(CHECKED, said + ("disagrees." if off else "agrees."))
    else:
        again = ", ".join(dict.fromkeys(one.buffer for one in checks))
        said = f"{again}, read again among the jars, checks the meter; only a third checks the bottles."
        remark = Remark(HELD, said)
    others = (one for one in calibration.remarks if one.kind != "two-buffers")
    return replace(calibration, remarks=(remark, *others))
