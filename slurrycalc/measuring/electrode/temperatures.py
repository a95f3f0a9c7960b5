"""The temperatures of a bench day: one thermometer, and what is taken where nobody read it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from uncertainties import UFloat

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
        meter_name: str | None,
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
        meter_name : str or None
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
        assumed = half_width is None
        half_width = THERMOMETER.value if half_width is None else half_width
        if not 0.0 <= half_width <= 10.0:
            raise Refusal(
                f"`{half_width:g}` degC cannot be what a thermometer is off by (0 to 10 degC); "
                f"write one such as {THERMOMETER.value:g}."
            )
        thermometer = Source(
            f"{key if meter_name is None else f'meter:{meter_name}'}:thermometer",
            "thermometer",
            known=THERMOMETER.known if assumed else "given",
            ground=THERMOMETER.ground if assumed else "tolerance given for this thermometer",
        )
        store = inputs if meter_name is None else named
        error: Uncertain = store.variable(rectangular(half_width), thermometer) if half_width else 0.0

        def unread(which: str, name: str) -> UFloat:
            source = Source(
                f"{key}:{which}", name, known=UNREAD_TEMPERATURE.known, ground=UNREAD_TEMPERATURE.ground
            )
            return inputs.variable(rectangular(UNREAD_TEMPERATURE.value), source)

        read = [each for each in buffers if each is not None]
        off = unread("buffer-temperature", "buffer temperature, not read")
        mean = linear(fsum(read) / len(read), {}) + error if read else LABEL_TEMPERATURE.value + off
        return cls(error, mean, off, unread("reading-temperature", "slurry temperature, not read"))

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
