"""The meter in its bottles, computed the one way whether the step is recorded or not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Any

from slurrycalc.measuring.electrode import BufferCheck, Calibration, Meter, Point, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.calibration import Fit
from slurrycalc.metrology.uncertain import Inputs

if TYPE_CHECKING:
    from slurrycalc.day.keeping.metering import KeptMeter
    from slurrycalc.logbook.step import Role

Poured = tuple[str | Bottle, Any, Any]
"""A bottle, what the meter showed in it, and its temperature."""
Around = Callable[[str], AbstractContextManager[None]]
"""Puts the place of a part in front of what is refused inside."""


def _nowhere(part: str) -> AbstractContextManager[None]:
    return nullcontext()


def calibrated(
    points: Sequence[Poured],
    meter: Meter,
    *,
    fit: Fit = "line",
    thermometer: float | None = None,
    check: Poured | None = None,
    close: Poured | None = None,
    kept: KeptMeter | None = None,
    inputs: Inputs | None = None,
    around: Around = _nowhere,
) -> tuple[Calibration, BufferCheck | None]:
    """Calibrate a meter, judge a check bottle, and close the day.

    Parameters
    ----------
    points : sequence of (str or Bottle, reading, temperature)
        What the meter showed in each bottle. [mV or pH, as the meter shows; degC]
    meter : Meter
        The meter.
    fit : {"line", "bracket"}
        How the buffers are joined.
    thermometer : float, optional
        What it may be off by either way. [degC]
    check : (str or Bottle, reading, temperature), optional
        A bottle that the calibration does not rest on.
    close : (str or Bottle, reading, temperature), optional
        One of its bottles once more.
    kept : KeptMeter, optional
        Where the step is recorded; meter and thermometer are then its own.
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.
    around : callable, optional
        Given ``"point"``, ``"check"`` or ``"close"``, puts its place in front of what is refused.

    Returns
    -------
    calibration : Calibration
        With the drift, where there is a closing reading.
    check : BufferCheck or None
        How the check bottle came out.

    Raises
    ------
    Refusal
        If something in it cannot stand.

    Examples
    --------
    >>> points = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]
    >>> calibration, _ = calibrated(points, Meter("mV"), close=("7.00", -1.2, 22.0))
    >>> calibration.drift.flagged
    True
    """
    key = None
    if kept is not None:
        meter, thermometer, inputs, key = kept.meter, kept.thermometer, kept.keeper.inputs, kept.key

    def taken(role: Role, poured: Poured) -> Point:
        return Point(*poured) if kept is None else kept.point(*poured, role=role)

    with around("point"):
        read = [taken("point", one) for one in points]
        calibration = calibrate(read, meter, fit=fit, thermometer=thermometer, inputs=inputs, key=key)
        calibration = calibration if kept is None else calibration.on(kept.keeper.day)
    checked = None
    if check is not None:
        with around("check"):
            one = taken("check", check)
            checked = calibration.check(one.buffer, one.reading, one.temperature)
    if close is not None:
        with around("close"):
            one = taken("close", close)
            calibration = calibration.close(one.buffer, one.reading, one.temperature, key=one.key)
    return calibration, checked
