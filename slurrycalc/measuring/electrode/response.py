"""How a meter answers to pH, and its inverse: from what it shows to the pH that this means."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from slurrycalc.measuring.electrode.meter import NEUTRAL, ZERO_CELSIUS, Gain
from slurrycalc.measuring.electrode.temperatures import Temperatures
from slurrycalc.metrology.uncertain import Uncertain, covariance, linear

Floats = NDArray[np.float64]

CHUNK = 8192
"""Readings that are worked on at a time: few enough to stay in the processor's cache."""


class Piece(NamedTuple):
    """One straight piece of the response: y = intercept + slope·x, x = gain(T)·(pH − 7)."""

    intercept: UFloat
    """What is shown at pH 7, from 0 mV or from pH 7. [mV or pH]"""
    slope: UFloat
    """Part of the ideal gain that the electrode has. [1]"""


class TwoBufferLine(NamedTuple):
    """The line that two of the buffers alone would make, without its uncertainty."""

    intercept: float
    slope: float


@dataclass(frozen=True, eq=False)
class Response:
    """A calibrated meter's answer to pH."""

    gain: Gain
    zero: float
    """What an ideal meter shows at pH 7: 0 mV, or pH 7."""
    pieces: tuple[Piece, ...]
    """In order of rising y."""
    knots: tuple[float, ...]
    """Between the pieces: at which y the next one begins."""
    temperatures: Temperatures
    junction: Uncertain
    """Error of the liquid-junction potential, nominally 0. [pH]"""
    lines: tuple[TwoBufferLine, ...] = ()
    """Every two-buffer line, where the buffers are disputed."""
    disputed: UFloat | None = None
    """Part of the distance to the farthest of those lines that a reading may be off by, nominally 0. [1]"""
    drift: Uncertain = 0.0
    """The day's drift, nominally 0. [pH]"""

    def ph(self, indication: UFloat, read: float | None, junction: bool) -> UFloat:
        """Give the pH that an indication means.

        Parameters
        ----------
        indication : UFloat
            In what the display shows.
        read : float or None
            Temperature as read. [degC]
        junction : bool
            Whether the solution is another kind than the buffers.

        Returns
        -------
        UFloat
            With every error of the day. [pH]
        """
        temperature = self.temperatures.of_reading(read)
        plain = self.plain(indication, temperature)
        total = plain + self.drift
        if self.disputed is not None:
            total += self.distance(indication.n - self.zero, temperature.n) * self.disputed
        if junction:
            total += self.junction
        # Read once here, or every later sum would walk down to the buffers again.
        return linear(total.n, dict(total.derivatives))

    def plain(self, indication: UFloat, temperature: UFloat) -> UFloat:
        """Give the pH that the line alone says.

        Parameters
        ----------
        indication : UFloat
            In what the display shows.
        temperature : UFloat
            Of the solution. [degC]

        Returns
        -------
        UFloat
            Without junction potential, dispute and drift. [pH]
        """
        return NEUTRAL + self.off(indication - self.zero, 0.0, temperature)

    def off(self, y: UFloat, x: Uncertain, temperature: UFloat) -> UFloat:
        """Give how far an indication lies from a place on the line.

        Parameters
        ----------
        y : UFloat
            What is shown, from `zero`.
        x : float or UFloat
            Gain times distance from pH 7, of that place.
        temperature : UFloat
            Of the solution. [degC]

        Returns
        -------
        UFloat
            What is read there less what is there. [pH]
        """
        piece = self.piece(y.n)
        return ((y - piece.intercept) / piece.slope - x) / self.gain.at(temperature)

    def piece(self, y: float) -> Piece:
        """Find the piece that an indication falls on."""
        return self.pieces[bisect_right(self.knots, y)]

    def distance(self, y: float, temperature: float) -> float:
        """Give the largest distance from the response to any two-buffer line.

        Parameters
        ----------
        y : float
            What is shown, from `zero`.
        temperature : float
            Of the solution. [degC]

        Returns
        -------
        float
            Without sign: neighbouring readings are off the same way, and a mean keeps it. [pH]
        """
        piece = self.piece(y)
        x = (y - piece.intercept.n) / piece.slope.n
        farthest = float(max(abs((y - line.intercept) / line.slope - x) for line in self.lines))
        return farthest / abs(float(self.gain.at(temperature)))

    def array(
        self, readings: Floats, read: Floats | None, own_u: float, junction: bool
    ) -> tuple[Floats, Floats]:
        """Give the pH of many single readings and their standard uncertainties.

        The same as `ph` for each, as a quadratic form in the errors of intercept, slope and temperature and
        in what all readings share, with their joint covariance; the reading's own u is added.

        Parameters
        ----------
        readings : ndarray of shape (n,)
            In what the display shows.
        read : ndarray of shape (n,) or None
            Temperatures as read. [degC]
        own_u : float
            Standard uncertainty of each reading, in what the display shows.
        junction : bool
            Whether the solutions are another kind than the buffers.

        Returns
        -------
        ph, u : ndarray of shape (n,)
            Values and standard uncertainties. [pH]
        """
        temperature = self.temperatures.of_reading(None if read is None else 0.0)
        common = self.drift + (self.junction if junction else 0.0)
        forms = [self._form(piece, temperature, common, own_u) for piece in self.pieces]
        ph, u = np.empty_like(readings), np.empty_like(readings)
        for start in range(0, len(readings), CHUNK):
            part = slice(start, start + CHUNK)
            y = readings[part] - self.zero
            at = temperature.n if read is None else read[part]
            if len(forms) == 1:
                ph[part], u[part] = self._values(y, at, forms[0])
                continue
            which = np.searchsorted(self.knots, y, side="right")
            for number, form in enumerate(forms):
                here = np.flatnonzero(which == number)
                own_at = at if isinstance(at, float) else at[here]
                ph[start + here], u[start + here] = self._values(y[here], own_at, form)
        return ph, u

    def _values(self, y: Floats, at: Floats | float, k: tuple[float, ...]) -> tuple[Floats, Floats]:
        """Give value and standard uncertainty of readings on one piece."""
        per_kelvin = self.gain.per_kelvin
        r = 1.0 if per_kelvin is None else 1.0 / (at + ZERO_CELSIUS)
        over_gain = 1.0 if per_kelvin is None else r / per_kelvin
        x = (y - k[0]) / k[1]
        w = x * over_gain
        t = w * r
        square = r * (r * k[2] + t * k[3] + k[4]) + t * (t * k[5] + w * k[6] + k[7])
        square += w * (w * k[8] + k[9]) + k[10]
        if self.disputed is not None:
            farthest = np.zeros_like(y)
            for line in self.lines:
                np.maximum(farthest, np.abs((y - line.intercept) / line.slope - x), out=farthest)
            square += (farthest * over_gain * self.disputed.s) ** 2
        return NEUTRAL + w, np.sqrt(square)

    def _form(self, piece: Piece, temperature: UFloat, common: Uncertain, own_u: float) -> tuple[float, ...]:
        """Give a piece's line and the coefficients of the variance in r = 1/T, w = pH − 7 and t = r·w.

        The errors are a (intercept), s (slope), d (temperature) and c (common), their sensitivities A·r,
        B·w, −t and 1; a display that has allowed for temperature has r = 1 and no d.
        """
        a, s, c = piece.intercept, piece.slope, common
        per_kelvin = self.gain.per_kelvin
        d: Uncertain = 0.0 if per_kelvin is None else temperature
        of_a = -1.0 / (s.n * (1.0 if per_kelvin is None else per_kelvin))
        of_s = -1.0 / s.n
        return (
            a.n,
            s.n,
            of_a * of_a * (covariance(a, a) + own_u * own_u),
            -2.0 * of_a * covariance(a, d),
            2.0 * of_a * covariance(a, c),
            covariance(d, d),
            -2.0 * of_s * covariance(s, d),
            2.0 * of_a * of_s * covariance(a, s) - 2.0 * covariance(d, c),
            of_s * of_s * covariance(s, s),
            2.0 * of_s * covariance(s, c),
            covariance(c, c),
        )
