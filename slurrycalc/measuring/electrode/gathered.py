"""The points of a calibration with their errors, one a bottle, in an order that does not hang on theirs."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import BUFFER_SPAN
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.indication import Spread, indication, pooled
from slurrycalc.measuring.electrode.meter import NEUTRAL, Gain, Meter
from slurrycalc.measuring.electrode.points import Taken
from slurrycalc.measuring.electrode.temperatures import Temperatures
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs, Uncertain

LOOKS_LIKE_PH = 1.0
"""Readings that all lie this near to their buffer's pH are pH, whatever the meter is said to show. [pH]"""


@dataclass(frozen=True, eq=False)
class Bench:
    """What all readings of one calibration share."""

    meter: Meter
    gain: Gain
    temperatures: Temperatures
    key: str
    """Of the calibration."""
    own: Inputs
    """Where the calibration's own errors are kept."""
    named: Inputs
    """Where the errors of named things and of keyed readings are kept."""
    bottles: dict[Hashable, Uncertain]
    """Errors of the bottles met so far. [pH]"""

    @property
    def zero(self) -> float:
        """What an ideal meter shows at pH 7 [mV or pH]."""
        return NEUTRAL if self.meter.shows == "pH" else 0.0

    def bottle(self, one: Taken) -> Uncertain:
        """Give the error of a point's bottle, the same for the same bottle [pH]."""
        if not isinstance(one.buffer, Bottle):
            return 0.0
        if one.identity not in self.bottles:
            named = one.buffer.own_key is not None
            key = None if named else f"{self.key}:bottle:{one.called}"
            self.bottles[one.identity] = one.buffer.error(self.named if named else self.own, key)
        return self.bottles[one.identity]

    def read(self, one: Taken, temperature: UFloat, spread: Spread | None, key: str | None) -> Read:
        """Give a point its errors."""
        error = self.bottle(one)
        for identity, other in self.bottles.items():
            if isinstance(error, UFloat) and other is error and identity != one.identity:
                raise Refusal(
                    f"the bottle {one.called} bears the name of another bottle, so that both would have the "
                    'same error; give every bottle a name of its own, as in Bottle("7.00", name="second").'
                )
        ph = one.ph(temperature, error)
        store = self.own if one.key is None else self.named
        what = f"buffer {one.called}"
        y = indication(one.values, self.meter, what, spread=spread, key=one.key or key, inputs=store)
        return Read(one, temperature, ph, self.gain.at(temperature) * (ph - NEUTRAL), y - self.zero)


class Read(NamedTuple):
    """A point with its errors."""

    taken: Taken
    temperature: UFloat
    ph: UFloat
    x: UFloat
    y: UFloat


@dataclass(frozen=True, eq=False)
class BufferPoint:
    """Everything that was read in one bottle, as one point of the line."""

    buffer: Bottle | UFloat
    identity: Hashable
    called: str
    shown: float
    """Mean indication, in what the display shows."""
    n: int
    """Number of indications."""
    temperature: UFloat
    """[degC]"""
    ph: UFloat
    """Stated pH at that temperature. [pH]"""
    x: UFloat
    """Gain times distance from pH 7. [mV or pH, as the meter shows]"""
    y: UFloat
    """What is shown, from 0 mV or from pH 7. [mV or pH, as the meter shows]"""



def gather(taken: Sequence[Taken], bench: Bench) -> list[BufferPoint]:
    """Give points their errors, and make one of those that were read in the same bottle.

    Parameters
    ----------
    taken : sequence of Taken
        The points, in `slurrycalc.measuring.electrode.points.ordered` order.
    bench : Bench
        What they share.

    Returns
    -------
    list of BufferPoint
        One a bottle, in order of pH.

    Raises
    ------
    Refusal
        If one bottle is described in two ways, two bottles bear one name, or one is off its table.
    """
    spread = pooled([one.values for one in taken], f"{bench.key}:repeatability")
    by_bottle: dict[Hashable, list[Read]] = {}
    for number, one in enumerate(taken):
        same = by_bottle.setdefault(one.identity, [])
        if same and same[0].taken.buffer != one.buffer:
            raise Refusal(
                f"the bottle {one.called} is given with two different tolerances or measured values; "
                'give every bottle a name of its own, as in Bottle("7.00", name="second").'
            )
        temperature = bench.temperatures.of_buffer(one.temperature)
        same.append(bench.read(one, temperature, spread, f"{bench.key}:point:{number}"))
    return sorted((_together(same) for same in by_bottle.values()), key=lambda one: one.ph.n)


def _together(same: Sequence[Read]) -> BufferPoint:
    # The mean of points on a line lies on the line, whatever their temperatures: x allows for those.
    n = len(same)
    columns = zip(*(row[1:] for row in same), strict=True)
    temperature, ph, x, y = (sum(rest, first) / n for first, *rest in columns)
    taken = same[0].taken
    shows = sum(sum(row.taken.values) / len(row.taken.values) for row in same) / n
    return BufferPoint(
        taken.buffer,
        taken.identity,
        taken.called,
        shows,
        sum(len(row.taken.values) for row in same),
        temperature,
        ph,
        x,
        y,
    )


def check_points(points: Sequence[BufferPoint], meter: Meter, adjacent: bool) -> None:
    """Refuse points that no line can be trusted to.

    Parameters
    ----------
    points : sequence of BufferPoint
        One a bottle, in order of pH.
    meter : Meter
        The meter.
    adjacent : bool
        Whether every two neighbours must make a line of their own.

    Raises
    ------
    Refusal
        If there is one buffer, they lie closer than 1 pH together, the readings are those of the other kind
        of meter, or run the wrong way.
    """
    names = ", ".join(point.called for point in points)
    if len(points) < 2:
        raise Refusal(
            f"`{names or 'no buffer'}` alone fixes no slope, however often it is read; "
            "read a second buffer at least 1 pH away, such as 4.01 beside 7.00."
        )
    if meter.shows == "mV" and all(abs(point.shown - point.ph.n) <= LOOKS_LIKE_PH for point in points):
        values = ", ".join(f"{point.shown:g}" for point in points)
        raise Refusal(
            f"`{values}` in the buffers {names} look like pH, not mV; say that the meter shows pH, or read "
            "it in mV, about 178 mV in 4.01 and 0 mV in 7.00."
        )
    near = list(pairwise(points)) if adjacent else [(points[0], points[-1])]
    for low, high in near:
        if high.ph.n - low.ph.n < BUFFER_SPAN.value:
            raise Refusal(
                f"buffers {low.called} and {high.called} lie only {high.ph.n - low.ph.n:.2f} pH apart, too "
                "close to fix a slope (1 pH at least); take two such as 4.01 and 7.00."
            )
    falls = meter.shows == "mV"
    for low, high in combinations(points, 2):
        if high.ph.n - low.ph.n < BUFFER_SPAN.value or (high.y.n < low.y.n if falls else high.y.n > low.y.n):
            continue
        way = "does not fall" if falls else "does not rise"
        raise Refusal(
            f"`{low.shown:g} {meter.unit}` in {low.called}, `{high.shown:g} {meter.unit}` in {high.called}: "
            f"the reading {way} as the pH rises, so the bottles were probably swapped, or the electrode is "
            f"broken; read both again, {_expected(low, meter)} in {low.called}."
        )


def _expected(point: BufferPoint, meter: Meter) -> str:
    if meter.shows == "pH":
        return f"about {point.ph.n:.2f}"
    return f"about {Gain.of(meter, 0.0).at(point.temperature.n) * (point.ph.n - NEUTRAL):.0f} mV"
