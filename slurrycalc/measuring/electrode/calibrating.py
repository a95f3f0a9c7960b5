"""Calibration of a pH meter by its buffers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import sqrt

from uncertainties import UFloat

from slurrycalc.data.assumed import LABEL_TEMPERATURE
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.calibration import Calibration, Fit, FittedPoint, PHReading
from slurrycalc.measuring.electrode.checks import BufferCheck, Drift
from slurrycalc.measuring.electrode.gathered import Bench, BufferPoint, check_points, gather
from slurrycalc.measuring.electrode.meter import NEUTRAL, Gain, Meter, junction_error, nernst_slope
from slurrycalc.measuring.electrode.points import Point, PointGiven, ordered, take
from slurrycalc.measuring.electrode.remarks import on_calibration
from slurrycalc.measuring.electrode.response import Piece, Response, TwoBufferLine
from slurrycalc.measuring.electrode.straightness import Disputed, dispute, two_buffer_lines
from slurrycalc.measuring.electrode.temperatures import Temperatures
from slurrycalc.measuring.electrode.verdict import judge_meter
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import SESSION, Inputs, Source, fresh_key

__all__ = [
    "BufferCheck",
    "Calibration",
    "Drift",
    "Fit",
    "FittedPoint",
    "Meter",
    "PHReading",
    "Point",
    "calibrate",
    "nernst_slope",
    "with_one_more",
]

MILLIVOLTS = Meter("mV")


def calibrate(
    points: Sequence[PointGiven],
    meter: Meter = MILLIVOLTS,
    *,
    fit: Fit = "line",
    thermometer: float | None = None,
    inputs: Inputs | None = None,
    key: str | None = None,
) -> Calibration:
    """Calibrate a meter by two or more buffers.

    Parameters
    ----------
    points : sequence of Point or tuple
        Buffer, reading, temperature each; their order does not matter. The same bottle read twice is pooled.
        A temperature that was not read is taken to be the other buffers', ±5 degC.
    meter : Meter
        The meter; by default one that shows mV.
    fit : {"line", "bracket"}
        One straight line through all buffers, or between each two neighbours their own. Buffers that do not
        lie on one line stay disputed either way: a bent electrode and a bad bottle look the same.
    thermometer : float, optional
        What the thermometer may be off by; by default 1 (from memory). [degC]
    inputs : Inputs, optional
        Where the errors of named things are kept; by default the session's.
    key : str, optional
        Under which the calibration's own errors are found again.

    Returns
    -------
    Calibration
        How good the meter is, and what its readings mean.

    Raises
    ------
    Refusal
        If there is one buffer (read twice or not), buffers lie closer than 1 pH together, readings run the
        wrong way or cannot be, a temperature is outside 0 to 60 degC or off a buffer's table, or a buffer is
        not known.

    Notes
    -----
    A meter that shows mV follows E = E7 - e·k(T)·(pH - 7), k(T) = ln10·R·T/F; one that shows pH displays
    7 + d + b·(pH - 7), where b grows with temperature unless the meter compensates. Both are straight lines
    with uncertainties in both coordinates.

    References
    ----------
    .. [1] R. P. Buck et al., "Measurement of pH. Definition, standards, and procedures (IUPAC Recommendations
       2002)", Pure Appl. Chem. 74 (2002) 2169.
    .. [2] ISO/TS 28037:2010, Determination and use of straight-line calibration functions.

    Examples
    --------
    >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], meter=Meter("mV"))
    >>> round(cal.slope.n, 1), round(cal.efficiency.n, 1), round(cal.offset.n, 1), cal.verdict.state
    (59.2, 100.1, 2.4, 'good')
    """
    if not isinstance(meter, Meter):
        raise Refusal(f'{quoted(meter)} is no meter; write one such as Meter("mV") or Meter("pH").')
    if fit not in ("line", "bracket"):
        raise Refusal(f"`{fit}` is no way to fit buffers; write line or bracket.")
    taken = ordered(take(point, meter) for point in points)
    named = SESSION if inputs is None else inputs
    own = Inputs() if key is None else named
    key = fresh_key("calibration") if key is None else key
    read = [one.temperature for one in taken]
    shares = Temperatures.of(
        read, half_width=thermometer, meter_key=meter.own_key, key=key, inputs=own, named=named
    )
    gain = Gain.of(meter, shares.buffers.n)
    bench = Bench(meter, gain, shares, key, own, named, {})
    gathered = gather(taken, bench)
    check_points(gathered, meter, fit == "bracket")
    line = straight_line([point.x for point in gathered], [point.y for point in gathered])
    doubt = dispute(gathered, line, gain)
    response = Response(
        gain,
        bench.zero,
        *_pieces(gathered, Piece(line.intercept, line.slope), fit),
        shares,
        junction_error(meter, key, own if meter.own_key is None else named),
        *_doubt(gathered, doubt, bench),
    )
    at_25 = float(gain.at(LABEL_TEMPERATURE.value))
    in_mv = meter.shows == "mV"
    verdict = judge_meter(100.0 * line.slope, line.intercept, meter.shows, doubt)
    unread = [one.called for one in taken if one.temperature is None]
    return Calibration(
        slope=line.slope * abs(at_25) if in_mv else None,
        efficiency=100.0 * line.slope,
        offset_mv=line.intercept if in_mv else None,
        offset_ph=None if in_mv else line.intercept,
        zero_ph=NEUTRAL - line.intercept / (line.slope * at_25),
        chi2=0.0 if line.chi2 is None else line.chi2,
        dof=line.dof,
        p_value=line.p_value,
        verdict=verdict,
        disputed=doubt,
        drift=None,
        points=tuple(
            FittedPoint(
                point.called,
                point.shown,
                point.n,
                point.temperature.n,
                point.ph,
                response.off(point.y, point.x, point.temperature).n,
            )
            for point in gathered
        ),
        span=(gathered[0].ph.n, gathered[-1].ph.n),
        fit=fit,
        meter=meter,
        remarks=on_calibration(len(gathered), unread, shares.buffers.n, doubt, meter),
        _response=response,
        _bench=bench,
        _gathered=tuple(gathered),
    )


def _pieces(
    points: Sequence[BufferPoint], whole: Piece, fit: Fit
) -> tuple[tuple[Piece, ...], tuple[float, ...]]:
    if fit == "line":
        return (whole,), ()
    rising = sorted(points, key=lambda point: point.y.n)
    lines = [straight_line([low.x, high.x], [low.y, high.y]) for low, high in pairwise(rising)]
    knots = tuple(point.y.n for point in rising[1:-1])
    return tuple(Piece(line.intercept, line.slope) for line in lines), knots


def _doubt(
    points: Sequence[BufferPoint], doubt: Disputed | None, bench: Bench
) -> tuple[tuple[TwoBufferLine, ...], UFloat | None]:
    if doubt is None:
        return (), None
    # The wrong bottle puts the truth near one end of the distance rather than anywhere within it: an arc sine
    # distribution (JCGM 101:2008, 6.4.6). A rectangular one covered 0.93 of simulated days, this one 0.97.
    ground = "largest distance to the line of any two buffers"
    source = Source(f"{bench.key}:disputed", "disputed buffer", known="computed", ground=ground)
    return two_buffer_lines(points), bench.own.variable(sqrt(0.5), source)


def with_one_more(cal: Calibration, label: str, temperature: float, off: float = 0.0) -> Response:
    """Give the response that a calibration would have with one more buffer, had it been read on the line.

    Parameters
    ----------
    cal : Calibration
        As it is.
    label : str
        Of a nameless bottle, read once.
    temperature : float
        Of that bottle. [degC]
    off : float
        How far off the line it had been read, in what the display shows.

    Returns
    -------
    Response
        With all that the calibration shares: bottles, indications, thermometer; and with the lines of any two
        buffers. The drift of the day stays.

    Raises
    ------
    Refusal
        If such a bottle could not have been read: its temperature off its table, its reading beyond what can
        be.

    Examples
    --------
    >>> cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
    >>> more = with_one_more(cal, "10.01", 22.0)
    >>> round(more.pieces[0].slope.n, 4), more.pieces[0].slope.s < cal.efficiency.s / 100.0
    (1.0015, True)
    """
    bench, response = cal._bench, cal._response
    # Nothing of what was only supposed may be found among the errors of what was read.
    aside = replace(bench, own=Inputs(), named=Inputs(), bottles={})
    stated, _ = Bottle(label).at(temperature)
    x = float(bench.gain.at(temperature)) * (stated - NEUTRAL)
    shown = bench.zero + cal.offset.n + cal.efficiency.n / 100.0 * x + off
    (more,) = gather([take(Point(label, shown, temperature), bench.meter)], aside)
    points = sorted([*cal._gathered, more], key=lambda one: one.ph.n)
    line = straight_line([one.x for one in points], [one.y for one in points])
    pieces, knots = _pieces(points, Piece(line.intercept, line.slope), cal.fit)
    return replace(response, pieces=pieces, knots=knots, lines=two_buffer_lines(points))
