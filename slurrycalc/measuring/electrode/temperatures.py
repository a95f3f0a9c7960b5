"""The temperatures of a bench day: one thermometer, and what is taken where nobody read it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum
from typing import Literal

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import LABEL_TEMPERATURE, THERMOMETER, UNREAD_TEMPERATURE
from slurrycalc.measuring.electrode.meter import Given
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs, Source, Uncertain, linear, rectangular
from slurrycalc.metrology.units import magnitude

COLDEST, HOTTEST = 0.0, 60.0
"""Between these a slurry or a buffer can be read. [degC]"""


def bench_temperature(temperature: Given) -> float:
    """Take in the temperature of a buffer or a slurry.

    Parameters
    ----------
    temperature : float, str or pint.Quantity
        As read on the thermometer. [degC]

    Returns
    -------
    float
        The temperature. [degC]

    Raises
    ------
    Refusal
        If it is no temperature, or outside 0 to 60 degC.

    Examples
    --------
    >>> round(bench_temperature("70 F"), 2)
    21.11
    """
    value = magnitude(temperature, "temperature")
    if not COLDEST <= value <= HOTTEST:
        said = f"{temperature:g} degC" if isinstance(temperature, (int, float)) else str(temperature)
        celsius = (value - 32.0) / 1.8
        guess = (
            f"did you mean {value:g} F, which is {celsius:.0f} degC?"
            if COLDEST <= celsius <= HOTTEST and value > HOTTEST
            else "write one such as 21 degC."
        )
        raise Refusal(
            f"{quoted(said)} cannot be the temperature of a buffer or a slurry on the bench "
            f"({COLDEST:g} to {HOTTEST:g} degC): {guess}"
        )
    return value


def thermometer_error(half_width: float | None, key: str, inputs: Inputs) -> Uncertain:
    """Give the error of the one thermometer.

    Parameters
    ----------
    half_width : float or None
        What it may be off by; None for the assumed 1 degC. [degC]
    key : str
        Of the meter that it belongs to, or of the calibration.
    inputs : Inputs
        Where the error is kept.

    Returns
    -------
    Variable or float
        Nominally 0; exactly 0 for a thermometer without it. [degC]

    Raises
    ------
    Refusal
        If it cannot be meant.

    Examples
    --------
    >>> round(thermometer_error(None, "meter:desk", Inputs()).s, 3)
    0.577
    """
    known, ground = THERMOMETER.known, THERMOMETER.ground
    if half_width is None:
        half_width = THERMOMETER.value
    else:
        known, ground = "given", "tolerance given for this thermometer"
    if not 0.0 <= half_width <= 10.0:
        raise Refusal(
            f"`{half_width:g}` degC cannot be what a thermometer is off by (0 to 10 degC); "
            f"write one such as {THERMOMETER.value:g}."
        )
    source = Source(f"{key}:thermometer", "thermometer", known=known, ground=ground)
    return inputs.variable(rectangular(half_width), source) if half_width else 0.0


def unread_temperature(what: Literal["buffer", "slurry"], key: str, inputs: Inputs) -> Variable:
    """Give by how much temperatures may be off that nobody read.

    Parameters
    ----------
    what : {"buffer", "slurry"}
        Of which they are.
    key : str
        Of the calibration.
    inputs : Inputs
        Where the error is kept.

    Returns
    -------
    Variable
        Nominally 0, the same for all of a calibration. [degC]

    Examples
    --------
    >>> round(unread_temperature("slurry", "calibration:1", Inputs()).s, 2)
    2.89
    """
    known, ground = UNREAD_TEMPERATURE.known, UNREAD_TEMPERATURE.ground
    source = Source(f"{key}:{what}-temperature", f"{what} temperature, not read", known=known, ground=ground)
    return inputs.variable(rectangular(UNREAD_TEMPERATURE.value), source)


@dataclass(frozen=True, eq=False)
class Temperatures:
    """What the temperatures of one calibration and of the readings under it share."""

    thermometer: Uncertain
    """Error of the one thermometer, nominally 0. [degC]"""
    buffers: UFloat
    """The buffers' mean temperature; an unread buffer's is taken to be this, too. [degC]"""
    unread_buffer: Uncertain
    """By how much unread buffers are off the buffers that were read, or all of them off 25 degC. [degC]"""
    unread_reading: Uncertain
    """By how much unread slurries are off the buffers. [degC]"""

    @classmethod
    def of(
        cls,
        buffers: Sequence[float | None],
        *,
        half_width: float | None,
        meter_key: str | None,
        key: str,
        inputs: Inputs,
        named: Inputs,
    ) -> Temperatures:
        """Gather the temperatures of the buffers.

        Parameters
        ----------
        buffers : sequence of float or None
            As read, None where not. [degC]
        half_width : float or None
            What the thermometer may be off by; None for the assumed 1 degC. [degC]
        meter_key : str or None
            A named meter's thermometer is the same error whenever it is used.
        key : str
            Of the calibration.
        inputs, named : Inputs
            Where the calibration's own errors, and those of named things, are kept.

        Returns
        -------
        Temperatures
            With their errors.

        Raises
        ------
        Refusal
            If the thermometer's error cannot be meant.
        """
        if meter_key is None:
            error = thermometer_error(half_width, key, inputs)
        else:
            error = thermometer_error(half_width, meter_key, named)
        read = [each for each in buffers if each is not None]
        off = unread_temperature("buffer", key, inputs)
        mean = linear(fsum(read) / len(read), {}) + error if read else LABEL_TEMPERATURE.value + off
        return cls(error, mean, off, unread_temperature("slurry", key, inputs))

    def of_buffer(self, read: float | None) -> UFloat:
        """Give a buffer's temperature.

        Parameters
        ----------
        read : float or None
            As read; None where not: then that of the other buffers, or 25 degC. [degC]

        Returns
        -------
        UFloat
            With its error. [degC]
        """
        if read is not None:
            return linear(read, {}) + self.thermometer
        # Where no buffer was read, the mean has the error already.
        had = self.unread_buffer in self.buffers.derivatives
        return self.buffers if had else self.buffers + self.unread_buffer

    def of_reading(self, read: float | None) -> UFloat:
        """Give a slurry's temperature.

        Parameters
        ----------
        read : float or None
            As read; None where not: then the buffers'. [degC]

        Returns
        -------
        UFloat
            With its error. [degC]
        """
        return self.buffers + self.unread_reading if read is None else linear(read, {}) + self.thermometer
