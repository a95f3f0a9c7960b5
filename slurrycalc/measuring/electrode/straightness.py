"""Do three or more buffers lie on one line? And if not, which of them may be off, and by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from slurrycalc.data.assumed import BUFFER_SPAN, STRAIGHTNESS
from slurrycalc.measuring.electrode.gathered import BufferPoint
from slurrycalc.measuring.electrode.meter import Gain
from slurrycalc.measuring.electrode.response import TwoBufferLine
from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.line import Line, straight_line


@dataclass(frozen=True)
class Suspect:
    """A buffer that may be off, and by how much it would have to be."""

    buffer: str
    error: PHValue
    """Its true pH less its stated one, were the other buffers right."""
    p_value: NumberValue | None
    """Of the others on a line without it; None for two, which nothing checks."""


@dataclass(frozen=True)
class Disputed:
    """Buffers that do not lie on one line."""

    p_value: NumberValue
    """Probability of buffers as far off a line, or farther, if nothing were wrong."""
    suspects: tuple[Suspect, ...]
    """Every buffer, in order of pH."""
    named: str | None
    """The one that is off most probably: without it the others make the best line, and a good one."""
    text: str
    """The sentence that a person reads."""


def dispute(points: Sequence[BufferPoint], line: Line, gain: Gain) -> Disputed | None:
    """Judge whether the buffers lie on one line.

    Parameters
    ----------
    points : sequence of BufferPoint
        In order of pH.
    line : Line
        Fitted to them.
    gain : Gain
        Of the meter.

    Returns
    -------
    Disputed or None
        None where they do, and where two buffers leave nothing to judge by.

    References
    ----------
    .. [1] ISO/TS 28037:2010, 6.3 and 7.3: chi-squared test of a straight-line calibration function.
    """
    if line.p_value is None or line.p_value >= STRAIGHTNESS.value:
        return None
    suspects = tuple(_suspect(points, i, gain) for i in range(len(points)))
    cleared = sorted(
        ((one.p_value, one.buffer) for one in suspects if one.p_value and one.p_value >= STRAIGHTNESS.value),
        reverse=True,
    )
    named = cleared[0][1] if cleared else None
    errors = ", or ".join(f"{one.buffer} by {one.error:+.2f}" for one in suspects)
    text = (
        f"The {len(points)} buffers do not lie on one line (p = {line.p_value:.2g}); it would be explained "
        f"if one of them were off its label: {errors} pH."
    )
    if named is not None:
        rest = " or ".join(buffer for _, buffer in cleared[1:])
        others = f", though it may be {rest}," if rest else ","
        text += f" Without {named} the others make a line: probably it is off{others} so open a fresh one."
    elif len(points) == 3:
        text += " Three buffers cannot say which; a fourth could."
    else:
        text += " No single buffer explains it: open fresh ones and look at the electrode."
    text += (
        " Until then the interval of every reading carries this doubt; those of the efficiency, slope and "
        "offset do not: they take the line through all buffers as it is."
    )
    return Disputed(line.p_value, suspects, named, text)


def _suspect(points: Sequence[BufferPoint], i: int, gain: Gain) -> Suspect:
    one = points[i]
    others = [*points[:i], *points[i + 1 :]]
    line = straight_line([other.x for other in others], [other.y for other in others])
    x = (one.y.n - line.intercept.n) / line.slope.n
    return Suspect(one.called, (x - one.x.n) / float(gain.at(one.temperature.n)), line.p_value)


def two_buffer_lines(points: Sequence[BufferPoint]) -> tuple[TwoBufferLine, ...]:
    """Give every line that two of the buffers would make, were they the only ones.

    Parameters
    ----------
    points : sequence of BufferPoint
        In order of pH.

    Returns
    -------
    tuple of TwoBufferLine
        Of buffers far enough apart to be taken for a calibration.
    """
    lines = []
    for low, high in combinations(points, 2):
        if high.ph.n - low.ph.n >= BUFFER_SPAN.value:
            slope = (high.y.n - low.y.n) / (high.x.n - low.x.n)
            lines.append(TwoBufferLine(low.y.n - slope * low.x.n, slope))
    return tuple(lines)
