"""A calibrated meter: how good it is, and what its readings mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from math import hypot
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from uncertainties import UFloat

from slurrycalc.measuring.electrode.checks import BufferCheck, Drift, buffer_check, drift_error, drift_of
from slurrycalc.measuring.electrode.gathered import Bench, BufferPoint
from slurrycalc.measuring.electrode.indication import FARTHEST_MV, indication, pooled, shown, within
from slurrycalc.measuring.electrode.meter import Given, Meter
from slurrycalc.measuring.electrode.points import BufferGiven, Point, take
from slurrycalc.measuring.electrode.remarks import bottles_on, on_reading
from slurrycalc.measuring.electrode.response import Response
from slurrycalc.measuring.electrode.straightness import Disputed
from slurrycalc.measuring.electrode.temperatures import COLDEST, HOTTEST, bench_temperature
from slurrycalc.measuring.electrode.verdict import Verdict
from slurrycalc.metrology.annotate import (
    PH,
    DegCValue,
    MilliVolt,
    MilliVoltPerPH,
    NumberValue,
    Percent,
    PHValue,
)
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import Uncertain, fresh_key, from_resolution

Fit = Literal["line", "bracket"]


@dataclass(frozen=True)
class FittedPoint(Valued, value="ph", words="pH {}", of="buffer"):
    """What was read in one bottle, and how far the line passes by it."""

    buffer: str
    shown: float
    """Mean indication, in what the display shows."""
    n: int
    """Number of indications."""
    temperature: DegCValue
    ph: PH
    """Stated pH of the buffer at that temperature, with the bottle's and the thermometer's error."""
    off: PHValue
    """What the line reads there less the stated pH."""


@dataclass(frozen=True)
class PHReading(Valued, value="ph", words="pH {}"):
    """One reading's pH and what must be said of it."""

    ph: PH
    temperature: DegCValue
    remarks: tuple[Remark, ...]


@dataclass(frozen=True)
class Calibration(Valued, value="efficiency", words="efficiency {} %", says=("verdict",)):
    """A calibrated meter: how good it is, and what its readings mean."""

    slope: MilliVoltPerPH | None
    """Size of the electrode's slope at 25 degC; None for a meter that shows only pH."""
    efficiency: Percent
    """Part of the ideal slope; for a meter that shows pH, what its display gives for each unit of pH."""
    offset_mv: MilliVolt | None
    """What is shown at pH 7, for a meter that shows mV."""
    offset_ph: PH | None
    """What is shown at pH 7 less 7, for a meter that shows pH."""
    zero_ph: PH
    """PH at 25 degC at which 0 mV is shown, or at which a meter that shows pH shows 7."""
    chi2: NumberValue
    """Of the points about the straight line."""
    dof: NumberValue
    """Points less two."""
    p_value: NumberValue | None
    """Probability of points as far off a line, or farther; None where two buffers leave nothing to check."""
    verdict: Verdict
    disputed: Disputed | None
    """Buffers that lie on no line. Readings carry the doubt; slope, efficiency, offset and zero do not."""
    drift: Drift | None
    """What the meter did until the close; None before it."""
    points: tuple[FittedPoint, ...]
    """In order of pH."""
    span: tuple[PHValue, PHValue]
    """Lowest and highest buffer."""
    fit: Fit
    meter: Meter
    remarks: tuple[Remark, ...]
    _response: Response = field(repr=False, compare=False)
    _bench: Bench = field(repr=False, compare=False)
    _gathered: tuple[BufferPoint, ...] = field(repr=False, compare=False)

    @property
    def offset(self) -> UFloat:
        """What is shown at pH 7, from 0 mV or from pH 7 [mV or pH, as the meter shows]."""
        return self.offset_ph if self.offset_mv is None else self.offset_mv

    @property
    def doubt(self) -> Remark | None:
        """What must be said of every reading under it; None where it can be trusted."""
        return self.verdict.doubt

    def on(self, day: date) -> Calibration:
        """Give the same, judged by the dates of its bottles as well.

        Parameters
        ----------
        day : date
            The day of the calibration.

        Returns
        -------
        Calibration
            Its verdict and its remarks name bottles that had expired, or were opened later.
        """
        said = bottles_on(day, [point.buffer for point in self._gathered])
        if not said:
            return self
        verdict = self.verdict.with_bottles([remark.text for remark in said])
        return replace(self, verdict=verdict, remarks=(*self.remarks, *said))

    def ph(
        self,
        reading: Given | Sequence[Given],
        temperature: Given | None = None,
        junction: bool = True,
        key: str | None = None,
        called: str | None = None,
    ) -> UFloat:
        """Give the pH that a reading means.

        Parameters
        ----------
        reading : float, str or pint.Quantity, or a sequence of them
            One indication, or repeated ones. [mV or pH, as the meter shows]
        temperature : float, str, pint.Quantity or None
            Of the slurry; None where it was not read: then the buffers', ±5 degC. [degC]
        junction : bool
            False for buffers, where the liquid-junction potential is the same as in the calibration.
        key : str, optional
            Under which the same reading is found again (``key:repeatability``).
        called : str, optional
            What a budget calls the reading; by default its key.

        Returns
        -------
        UFloat
            Correlated with everything else that is read under this calibration. [pH]

        Raises
        ------
        Refusal
            If the reading or the temperature cannot be.

        References
        ----------
        .. [1] R. P. Buck et al., "Measurement of pH. Definition, standards, and procedures (IUPAC
           Recommendations 2002)", Pure Appl. Chem. 74 (2002) 2169, multi-point and two-point calibration.

        Examples
        --------
        >>> from slurrycalc.measuring.electrode.calibrating import calibrate
        >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
        >>> print(f"{cal.ph(84.3, 21.0):.2f}")
        5.60+/-0.02
        """
        return self._read(reading, temperature, junction, key, called)[0]

    def read(
        self,
        reading: Given | Sequence[Given],
        temperature: Given | None = None,
        junction: bool = True,
        key: str | None = None,
        called: str | None = None,
    ) -> PHReading:
        """Give a reading's pH together with what must be said of it.

        Parameters
        ----------
        reading, temperature, junction, key, called
            As for `ph`.

        Returns
        -------
        PHReading
            Flagged where it lies outside the buffers, its temperature was not read, or the calibration is in
            doubt.

        Raises
        ------
        Refusal
            As for `ph`.

        Examples
        --------
        >>> from slurrycalc.measuring.electrode.calibrating import calibrate
        >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
        >>> [remark.kind for remark in cal.read(212.0, 21.0).remarks]
        ['outside-buffers']
        """
        ph, read = self._read(reading, temperature, junction, key, called)
        taken = self._response.temperatures.of_reading(read).n
        return PHReading(ph, taken, self.remarks_on(ph, read))

    def remarks_on(self, ph: UFloat, temperature: float | None) -> tuple[Remark, ...]:
        """Give what must be said of a reading of this pH; its temperature is None where not read [degC]."""
        matters = temperature is None and self._response.gain.per_kelvin is not None
        instead = self._response.temperatures.buffers.n if matters else None
        return (*filter(None, (self.doubt,)), *on_reading(ph, self.span, instead))

    def _read(
        self,
        reading: Given | Sequence[Given],
        temperature: Given | None,
        junction: bool,
        key: str | None,
        called: str | None,
    ) -> tuple[UFloat, float | None]:
        values = shown(reading, self.meter)
        read = None if temperature is None else bench_temperature(temperature)
        own = fresh_key("reading") if key is None else key
        spread = pooled([values], f"{own}:repeatability")
        inputs = self._bench.named
        what = called or ("reading" if key is None else key.replace(":", " "))
        y = indication(values, self.meter, what, spread=spread, key=key, inputs=inputs)
        return self._response.ph(y, read, junction), read

    def ph_array(
        self, readings: ArrayLike, temperatures: ArrayLike | None = None, junction: bool = True
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Give the pH of many single readings, for a logger's file: as `ph` for each, without its links.

        Parameters
        ----------
        readings : array_like or pint.Quantity of shape (n,)
            Single indications. [mV or pH, as the meter shows]
        temperatures : array_like or pint.Quantity of shape (n,) or (), or None
            Of the slurries; None where not read. [degC]
        junction : bool
            False for buffers.

        Returns
        -------
        ph, u : ndarray of shape (n,)
            Values and standard uncertainties. [pH]

        Raises
        ------
        Refusal
            If a reading or a temperature cannot be, with its place.

        Examples
        --------
        >>> from slurrycalc.measuring.electrode.calibrating import calibrate
        >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
        >>> ph, u = cal.ph_array([84.3, 100.0], [21.0, 21.5])
        >>> ph.round(2).tolist(), u.round(3).tolist()
        ([5.6, 5.33], [0.023, 0.023])
        """
        low, high = (0.0, 14.0) if self.meter.shows == "pH" else (-FARTHEST_MV, FARTHEST_MV)
        values = within(readings, self.meter.unit, (low, high), "in reading", "leave gaps out")
        read = None
        if temperatures is not None:
            advice = "give all temperatures, or none"
            read = within(temperatures, "degC", (COLDEST, HOTTEST), "with reading", advice)
            if read.size not in (1, values.size):
                raise Refusal(
                    f"{values.size} readings and {read.size} temperatures do not belong together; "
                    "give one temperature for each, or one for all."
                )
            read = np.broadcast_to(read.ravel(), values.size)
        own_u = hypot(from_resolution(self.meter.least_step.value), self.meter.own_repeatability.value)
        ph, u = self._response.array(values.ravel(), read, own_u, junction)
        return ph.reshape(values.shape), u.reshape(values.shape)

    def check(
        self,
        buffer: BufferGiven,
        reading: Given | Sequence[Given],
        temperature: Given | None = None,
        *,
        among: bool = False,
    ) -> BufferCheck:
        """Judge the calibration by a bottle that it does not rest on.

        Parameters
        ----------
        buffer : str, Bottle or UFloat
            The check bottle.
        reading : float, str or pint.Quantity, or a sequence of them
            What the meter showed in it. [mV or pH, as the meter shows]
        temperature : float, str, pint.Quantity or None
            Of the bottle; None: the buffers', ±5 degC. [degC]
        among : bool
            Whether it is read among the jars; one of its own then shows how far the meter moved.

        Returns
        -------
        BufferCheck
            The difference with its interval; what both share cancels.

        Raises
        ------
        Refusal
            If the bottle is one of the calibration's, or the reading cannot be.

        Examples
        --------
        >>> from slurrycalc.measuring.electrode.calibrating import calibrate
        >>> calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]).check("9.18", -127.5, 22.0).agrees
        True
        """
        taken = take((buffer, reading, temperature), self.meter)
        opened = next((point for point in self._gathered if point.identity == taken.identity), None)
        if opened is not None and not among:
            raise Refusal(
                f"`{taken.called}` cannot check a calibration that rests on it; read another bottle, "
                "or give it as the closing reading."
            )
        line = self._response
        at = line.temperatures.of_reading(taken.temperature)
        read = self._bench.read(taken, at, pooled([taken.values], fresh_key("check")), fresh_key("check"))
        if opened is not None:
            change = line.off(read.y, read.x, at) - line.off(opened.y, opened.x, opened.temperature)
            return buffer_check(taken.called, change, again=True)
        measured = line.ph(read.y + line.zero, taken.temperature, junction=False)
        return buffer_check(taken.called, measured - read.ph)

    def close(
        self,
        buffer: BufferGiven,
        reading: Given | Sequence[Given],
        temperature: Given | None = None,
        key: str | None = None,
    ) -> Calibration:
        """Close the day: read one of the calibration's bottles once more.

        Parameters
        ----------
        buffer : str, Bottle or UFloat
            The same bottle as before.
        reading : float, str or pint.Quantity, or a sequence of them
            What the meter shows in it now. [mV or pH, as the meter shows]
        temperature : float, str, pint.Quantity or None
            Of the bottle; None: as at the calibration, ±5 degC. [degC]
        key : str, optional
            Under which the closing reading and the drift are found again.

        Returns
        -------
        Calibration
            The same with the drift, which every reading under it then carries; of several closings, the
            largest.

        Raises
        ------
        Refusal
            If the bottle is none of the calibration's, or the reading cannot be.

        Examples
        --------
        >>> from slurrycalc.measuring.electrode.calibrating import calibrate
        >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
        >>> closed = cal.close("7.00", -1.2, 22.0)
        >>> print(f"{closed.drift.change:.2f}"), closed.drift.flagged
        0.05+/-0.01
        (None, True)
        """
        taken = take(Point(buffer, reading, temperature, key), self.meter)
        opened = next((point for point in self._gathered if point.identity == taken.identity), None)
        if opened is None:
            names = ", ".join(point.called for point in self._gathered)
            raise Refusal(
                f"`{taken.called}` was not read before, so it cannot show a drift; close with one of "
                f"{names}, or give it as a check."
            )
        at = self._response.temperatures.of_reading(taken.temperature)
        own = fresh_key("close") if key is None else key
        read = self._bench.read(taken, at, pooled([taken.values], f"{own}:repeatability"), own)
        line = self._response
        change = line.off(read.y, read.x, at) - line.off(opened.y, opened.x, opened.temperature)
        drift = drift_of(taken.called, change)
        if self.drift is not None and self.drift.u >= drift.u:
            return self
        store = self._bench.own if key is None else self._bench.named
        error: Uncertain = drift_error(drift.u, taken.called, own, store) if drift.u else 0.0
        said = [remark for remark in self.remarks if remark.kind != "drift"]
        if drift.flagged:
            said.append(Remark("drift", drift.text))
        return replace(self, drift=drift, remarks=tuple(said), _response=replace(line, drift=error))
