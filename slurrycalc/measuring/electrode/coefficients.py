"""Calibrations as plain numbers, for thousands of readings at once.

The same line, the same inputs and the same digits as `slurrycalc.measuring.electrode.calibrate`, at a tenth
of its cost, for calibrations in which nothing is unusual.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, isnan, nan
from typing import NamedTuple

import numpy as np
from scipy.special import chdtrc
from uncertainties.core import Variable

from slurrycalc.data.assumed import LABEL_TEMPERATURE, STRAIGHTNESS, THERMOMETER
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.checks import drift_error, drift_u
from slurrycalc.measuring.electrode.indication import reading_errors
from slurrycalc.measuring.electrode.meter import NEUTRAL, ZERO_CELSIUS, Gain, Meter, junction_error
from slurrycalc.measuring.electrode.temperatures import thermometer_error, unread_temperature
from slurrycalc.metrology.batch import NO_LOADINGS, Batch, Floats, Indices, Loadings
from slurrycalc.metrology.line import least_distance
from slurrycalc.metrology.uncertain import Inputs, from_resolution, rectangular

CHUNK = 16384
"""Readings that are worked on at a time: enough for arrays to pay, few enough to need little memory."""


class PlainPoint(NamedTuple):
    """One indication in one bottle, at a temperature that was read."""

    bottle: Bottle
    shows: float
    """In what the display shows."""
    temperature: float
    """[degC]"""
    key: str


class Share(NamedTuple):
    """How far one input moves what is read under a calibration."""

    intercept: float
    """Of the line, per unit of the input."""
    slope: float
    """Of the line, per unit of the input."""
    temperature: float
    """Of a reading, per unit of the input [degC]."""
    ph: float
    """Of a reading, per unit of the input, besides those [pH]."""
    unread: float = 0.0
    """As `temperature`, for readings whose temperature was not read [degC]."""


@dataclass(frozen=True, eq=False)
class Coefficients:
    """A calibration as plain numbers."""

    intercept: float
    """What is shown at pH 7, from `zero`. [mV or pH, as the meter shows]"""
    slope: float
    """Part of the ideal gain that the electrode has. [1]"""
    zero: float
    """What an ideal meter shows at pH 7: 0 mV, or pH 7."""
    per_kelvin: float
    """Growth of the ideal gain with thermodynamic temperature; nan for a display that has allowed for it."""
    buffers: float
    """Mean temperature of the buffers. [degC]"""
    shares: dict[Variable, Share]
    own_u: float
    """Of one indication, from resolution and repeatability, in what the display shows."""

    def off(self, point: PlainPoint) -> float:
        """Give what is read in a bottle less what it should have [pH]."""
        gain = 1.0 if isnan(self.per_kelvin) else self.per_kelvin * (point.temperature + ZERO_CELSIUS)
        ph = NEUTRAL + (point.shows - self.zero - self.intercept) / (self.slope * gain)
        return ph - point.bottle.at(point.temperature)[0]


def coefficients(
    points: Sequence[PlainPoint],
    meter: Meter,
    *,
    key: str,
    inputs: Inputs,
    thermometer: float | None = None,
    closing: Sequence[PlainPoint] = (),
) -> Coefficients | None:
    """Calibrate a meter, if nothing about it is unusual.

    Parameters
    ----------
    points : sequence of PlainPoint
        Two or more, each in a bottle of its own with a key of its own.
    meter : Meter
        With a key or a name.
    key : str
        Of the calibration.
    inputs : Inputs
        Where the errors are kept.
    thermometer : float, optional
        What the thermometer may be off by. [degC]
    closing : sequence of PlainPoint
        Bottles of the calibration that were read once more at the close.

    Returns
    -------
    Coefficients or None
        None where `slurrycalc.measuring.electrode.calibrate` is wanted: a bottle is read twice or has no key,
        or the buffers are disputed.

    References
    ----------
    .. [1] ISO/TS 28037:2010, 7: as `slurrycalc.metrology.line.straight_line`.

    Examples
    --------
    >>> points = [PlainPoint(Bottle("4.01", name="a"), 178.2, 22.0, "p1"),
    ...           PlainPoint(Bottle("7.00", name="n"), 1.8, 22.0, "p2")]
    >>> found = coefficients(points, Meter("mV", name="desk"), key="c", inputs=Inputs())
    >>> round(found.intercept, 1), round(found.slope, 3)
    (2.4, 1.001)
    """
    if len(points) < 2 or len({point.bottle for point in points}) != len(points):
        return None
    if any(point.bottle.own_key is None for point in points):
        return None
    points = sorted(points, key=lambda point: point.bottle.at(LABEL_TEMPERATURE.value)[0])
    half_width = THERMOMETER.value if thermometer is None else thermometer
    line = _line(points, meter, rectangular(half_width))
    if line is None:
        return None
    shares = _of_points(points, line, meter, inputs)
    error = thermometer_error(thermometer, meter.own_key or key, inputs)
    if isinstance(error, Variable):
        moved = -line.slope * line.of_temperature
        shares[error] = Share(float(line.to_intercept @ moved), float(line.to_slope @ moved), 1.0, 0.0)
    junction = junction_error(meter, key, inputs)
    if isinstance(junction, Variable):
        shares[junction] = Share(0.0, 0.0, 0.0, 1.0)
    if line.gain.per_kelvin is not None:
        unread = unread_temperature("slurry", key, inputs)
        shares[unread] = Share(0.0, 0.0, 0.0, 0.0, 1.0)
    found = Coefficients(
        intercept=line.intercept,
        slope=line.slope,
        zero=line.zero,
        per_kelvin=nan if line.gain.per_kelvin is None else line.gain.per_kelvin,
        buffers=sum(point.temperature for point in points) / len(points),
        shares=shares,
        own_u=hypot(from_resolution(meter.least_step.value), meter.own_repeatability.value),
    )
    drift = _drift(found, points, closing, inputs)
    return None if drift is None else replace(found, shares=shares | drift)


class _Line(NamedTuple):
    gain: Gain
    zero: float
    intercept: float
    slope: float
    to_intercept: Floats
    """How far each point's distance from the line moves it."""
    to_slope: Floats
    of_bottle: Floats
    """How far each bottle's error moves its x."""
    of_temperature: Floats
    """How far the thermometer's error moves each x."""


def _line(points: Sequence[PlainPoint], meter: Meter, u_temperature: float) -> _Line | None:
    """Fit the line to the points; None where they are disputed."""
    n = len(points)
    gain = Gain.of(meter, sum(point.temperature for point in points) / n)
    zero = NEUTRAL if meter.shows == "pH" else 0.0
    x, of_bottle, of_temperature, var_x = np.empty((4, n))
    for i, point in enumerate(points):
        stated, per_degree = point.bottle.at(point.temperature)
        of_bottle[i] = gain.at(point.temperature)
        x[i] = of_bottle[i] * (stated - NEUTRAL)
        of_temperature[i] = of_bottle[i] * per_degree + (gain.per_kelvin or 0.0) * (stated - NEUTRAL)
        var_x[i] = (of_bottle[i] * rectangular(point.bottle.half_width)) ** 2
    var_x += (of_temperature * u_temperature) ** 2
    y = np.array([point.shows for point in points]) - zero
    own = from_resolution(meter.least_step.value) ** 2 + meter.own_repeatability.value**2
    a, b, at_x, weight = least_distance(x, y, var_x, np.full(n, own), np.zeros(n))
    if n > 2 and chdtrc(n - 2, float(weight @ (y - a - b * x) ** 2)) < STRAIGHTNESS.value:
        return None
    mean = weight @ at_x / weight.sum()
    to_slope = weight * (at_x - mean) / (weight @ (at_x - mean) ** 2)
    to_intercept = weight / weight.sum() - mean * to_slope
    return _Line(gain, zero, a, b, to_intercept, to_slope, of_bottle, of_temperature)


def _of_points(
    points: Sequence[PlainPoint], line: _Line, meter: Meter, inputs: Inputs
) -> dict[Variable, Share]:
    """Give the shares of bottles and indications."""
    shares = {}
    for i, point in enumerate(points):
        to_intercept, to_slope = float(line.to_intercept[i]), float(line.to_slope[i])
        bottle = point.bottle.error(inputs)
        if isinstance(bottle, Variable):
            along = -line.slope * float(line.of_bottle[i])
            shares[bottle] = Share(to_intercept * along, to_slope * along, 0.0, 0.0)
        for error in reading_errors(point.key, meter, f"buffer {point.bottle.called}", inputs):
            shares[error] = Share(to_intercept, to_slope, 0.0, 0.0)
    return shares


def _drift(
    found: Coefficients, points: Sequence[PlainPoint], closing: Sequence[PlainPoint], inputs: Inputs
) -> dict[Variable, Share] | None:
    """Give the share of the largest drift; None where a closing bottle was not read before."""
    largest = 0.0
    drift: dict[Variable, Share] = {}
    opened = {point.bottle: found.off(point) for point in points}
    for point in closing:
        if point.bottle not in opened:
            return None
        u = drift_u(found.off(point) - opened[point.bottle])
        if u > largest:
            largest = u
            drift = {drift_error(u, point.bottle.called, point.key, inputs): Share(0.0, 0.0, 0.0, 1.0)}
    return drift


def read_many(
    calibrations: Sequence[Coefficients], which: Indices, shows: Floats, temperatures: Floats
) -> Batch:
    """Give the pH of many single readings.

    Parameters
    ----------
    calibrations : sequence of Coefficients
        Under which they were read.
    which : array of int, shape (n,)
        Which one each was read under.
    shows : array, shape (n,)
        In what its display shows.
    temperatures : array, shape (n,)
        As read, nan where not. [degC]

    Returns
    -------
    Batch
        With each reading's own u, and its loadings on all that it shares. [pH]

    Examples
    --------
    >>> points = [PlainPoint(Bottle("4.01", name="a"), 178.2, 22.0, "p1"),
    ...           PlainPoint(Bottle("7.00", name="n"), 1.8, 22.0, "p2")]
    >>> found = coefficients(points, Meter("mV", name="desk"), key="c", inputs=Inputs())
    >>> batch = read_many([found], np.zeros(2, int), np.array([84.3, 85.1]), np.array([21.0, 21.0]))
    >>> batch.values.round(2).tolist(), batch.own_u.round(4).tolist()
    ([5.6, 5.58], [0.0052, 0.0052])
    """
    column: dict[Variable, int] = {}
    flat = [
        (column.setdefault(variable, len(column)), *share)
        for each in calibrations
        for variable, share in each.shares.items()
    ]
    lengths = np.array([len(each.shares) for each in calibrations], np.intp)
    shelf = _Shelf(
        np.array(
            [
                (each.intercept, each.slope, each.zero, each.per_kelvin, each.buffers, each.own_u)
                for each in calibrations
            ]
        ).reshape(-1, 6),
        np.array(flat).reshape(-1, 6),
        lengths,
        (np.cumsum(lengths) - lengths).astype(np.intp),
    )
    n = len(which)
    ph, u = np.empty(n), np.empty(n)
    parts = [NO_LOADINGS]
    for start in range(0, n, CHUNK):
        part = slice(start, start + CHUNK)
        ph[part], u[part], loadings = _read_some(shelf, which[part], shows[part], temperatures[part])
        parts.append(loadings._replace(row=loadings.row + start))
    row, col, weight = (np.concatenate(each) for each in zip(*parts, strict=True))
    return Batch(ph, u, Loadings(row, col, weight), tuple(column))


class _Shelf(NamedTuple):
    """Calibrations as arrays."""

    line: Floats
    """A row each: intercept, slope, zero, per_kelvin, buffers, own u."""
    shares: Floats
    """A row each input of each: its column, and its `Share`."""
    lengths: Indices
    """How many of those rows each has."""
    starts: Indices
    """Where they begin."""


def _read_some(
    shelf: _Shelf, which: Indices, shows: Floats, temperatures: Floats
) -> tuple[Floats, Floats, Loadings]:
    """Read some of many readings: their pH, own u, and loadings."""
    intercept, slope, zero, per_kelvin, buffers, own_u = shelf.line[which].T
    unread = np.isnan(temperatures)
    kelvin = np.where(unread, buffers, temperatures) + ZERO_CELSIUS
    compensated = np.isnan(per_kelvin)
    gain = np.where(compensated, 1.0, per_kelvin * kelvin)
    off = (shows - zero - intercept) / (slope * gain)
    per_degree = np.where(compensated, 0.0, -off / kelvin)
    count = shelf.lengths[which]
    row = np.repeat(np.arange(len(which)), count)
    place = np.arange(len(row)) + np.repeat(shelf.starts[which] - np.cumsum(count) + count, count)
    col, to_intercept, to_slope, to_temperature, to_ph, to_unread = shelf.shares[place].T
    weight = to_ph - to_intercept / (slope * gain)[row] - to_slope * (off / slope)[row]
    weight += (to_temperature + to_unread * unread[row]) * per_degree[row]
    here = weight != 0.0
    loadings = Loadings(row[here], col[here].astype(np.intp), weight[here])
    return NEUTRAL + off, own_u / np.abs(slope * gain), loadings
