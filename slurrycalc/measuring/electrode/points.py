"""The points of a calibration as they are handed in: which buffer, what was shown, how warm."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any, TypeAlias

from uncertainties import UFloat

from slurrycalc.data.assumed import LABEL_TEMPERATURE
from slurrycalc.measuring.electrode.buffer_kinds import known_label
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.indication import shown
from slurrycalc.measuring.electrode.meter import Given, Meter
from slurrycalc.measuring.electrode.temperatures import bench_temperature
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain, linear

BufferGiven: TypeAlias = str | float | Bottle | UFloat
"""A label, a bottle, or a pH of one's own with its uncertainty, at the buffer's temperature."""


@dataclass(frozen=True)
class Point:
    """A meter read in a buffer.

    Parameters
    ----------
    buffer : str, Bottle or UFloat
        A label such as ``"4.01"``, a bottle, or a buffer's pH at its temperature with its uncertainty.
    reading : float, str or pint.Quantity, or a sequence of them
        One indication, or repeated ones. [mV or pH, as the meter shows]
    temperature : float, str, pint.Quantity or None
        Of the buffer; None where it was not read. [degC]
    key : str, optional
        Under which the same reading is found again.

    Examples
    --------
    >>> Point("4.01", "178.2mV", "22 C").reading
    '178.2mV'
    """

    buffer: BufferGiven
    reading: Given | Sequence[Given]
    temperature: Given | None = None
    key: str | None = None


PointGiven: TypeAlias = Point | tuple[Any, ...]
"""A `Point`, or its fields in that order as a tuple."""


@dataclass(frozen=True, eq=False)
class Taken:
    """A point taken in by the door, before it has errors."""

    buffer: Bottle | UFloat
    identity: Hashable
    """The same for the same bottle."""
    called: str
    values: tuple[float, ...]
    """Indications, in what the display shows."""
    temperature: float | None
    key: str | None
    roughly: float
    """PH near 25 degC, to sort by. [pH]"""

    def ph(self, temperature: UFloat, error: Uncertain) -> UFloat:
        """Give the buffer's pH at a temperature, with the bottle's error."""
        if not isinstance(self.buffer, Bottle):
            return self.buffer
        stated, slope = self.buffer.at(temperature.n)
        return linear(stated, {}) + slope * (temperature - temperature.n) + error


def take(given: PointGiven, meter: Meter) -> Taken:
    """Take in one point.

    Parameters
    ----------
    given : Point or tuple
        As handed in.
    meter : Meter
        The meter.

    Returns
    -------
    Taken
        The same in numbers.

    Raises
    ------
    Refusal
        If it is no point, or something in it cannot stand.

    Examples
    --------
    >>> take(("7", "1.8mV", "22C"), Meter("mV")).called
    '7.00'
    """
    if not isinstance(given, Point):
        figures = listed(given)
        if figures is None or not 2 <= len(figures) <= 4:
            raise Refusal(
                f"{quoted(given)} is no calibration point; write buffer, reading and temperature, "
                'as in ("4.01", 178.2, 22.0).'
            )
        given = Point(*figures)
    buffer, identity, called, roughly = _bottle(given.buffer)
    try:
        values = shown(given.reading, meter)
        temperature = None if given.temperature is None else bench_temperature(given.temperature)
    except Refusal as refusal:
        raise refusal.at(f"buffer {called}") from None
    return Taken(buffer, identity, called, values, temperature, given.key, roughly)


def _bottle(given: BufferGiven) -> tuple[Bottle | UFloat, Hashable, str, float]:
    if isinstance(given, UFloat):
        if not 0.0 <= given.n <= 14.0:
            raise Refusal(f"`{given.n:g}` is no pH of a buffer; give one between 0 and 14, such as 4.005.")
        if not isfinite(given.s):
            raise Refusal(
                f"`{given.n:g}+/-{given.s:g}` is no pH of a buffer; give a finite standard uncertainty with "
                "it, such as ufloat(4.005, 0.005)."
            )
        return given, id(given), f"{given.n:.3f}", given.n
    label = given if isinstance(given, Bottle | str) else known_label(given)
    bottle = label if isinstance(label, Bottle) else Bottle(label)
    roughly = bottle.at(LABEL_TEMPERATURE.value)[0]
    return bottle, (bottle.label, bottle.name, bottle.key), bottle.called, roughly


def ordered(taken: Iterable[Taken]) -> list[Taken]:
    """Bring points into the one order in which they are worked on, so that no digit hangs on theirs."""
    cold = float("-inf")
    return sorted(
        taken,
        key=lambda one: (
            one.roughly,
            one.called,
            one.values,
            cold if one.temperature is None else one.temperature,
            one.key or "",
        ),
    )
