"""What a third buffer would bring, said beforehand: the same as what it then brings."""

from __future__ import annotations

from math import inf

import pytest

from slurrycalc.measuring.electrode import Calibration, Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.measuring.electrode.calibrating import with_one_more
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.measuring.slurry.advice import future
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs

MV = Meter("mV", junction=0.0)
# A scatter so small that the calibration is what limits the interval.
STATED = Scatter(0.002, inf)


def shows(meter: Meter, ph: float, at: float, calibrated_at: float) -> float:
    if meter.shows == "mV":
        return 2.0 - 0.99 * nernst_slope(at) * (ph - 7.0)
    warmer = 1.0 if meter.compensates else nernst_slope(at) / nernst_slope(calibrated_at)
    return 7.02 + 0.99 * warmer * (ph - 7.0)


@pytest.mark.parametrize("ph", [4.2, 5.6, 6.98, 8.5])
@pytest.mark.parametrize(
    ("meter", "buffers_at", "thermometer", "tolerance", "repeats"),
    [
        (MV, (22.0, 22.0), None, None, 1),
        (MV, (12.0, 31.0), None, None, 1),
        (MV, (22.0, 22.0), 3.0, None, 1),
        (MV, (22.0, 22.0), 0.1, None, 1),
        (Meter("mV", junction=0.0, name="desk"), (22.0, 22.0), 3.0, None, 1),
        (MV, (22.0, 22.0), None, 0.002, 1),
        (MV, (22.0, 22.0), None, None, 5),
        (Meter("pH", junction=0.0), (12.0, 31.0), None, None, 1),
        (Meter("pH", junction=0.0, compensates=False), (12.0, 31.0), None, None, 1),
    ],
    ids=[
        "mV", "buffers of two temperatures", "poor thermometer", "good thermometer", "named meter",
        "good bottles", "repeated indications", "pH", "pH without compensation",
    ],
)  # fmt: skip
def test_a_third_buffer_brings_what_is_said(
    meter: Meter,
    buffers_at: tuple[float, float],
    thermometer: float | None,
    tolerance: float | None,
    repeats: int,
    ph: float,
) -> None:
    inputs, middle = Inputs(), sum(buffers_at) / 2.0

    def point(label: str, at: float, times: int, half: float | None) -> tuple[Bottle, list[float], float]:
        one = shows(meter, buffer_ph(label, at), at, middle)
        # Repeated indications a hair apart: what repeats is then as good as nothing.
        return Bottle(label, tolerance=half), [one + 1e-3 * i for i in range(times)], at

    points = [
        point(label, at, repeats, tolerance) for label, at in zip(("4.01", "7.00"), buffers_at, strict=True)
    ]
    jars = [shows(meter, ph, 21.0, middle)] * 4

    def result(more: list[tuple[Bottle, list[float], float]]) -> tuple[Calibration, float, float]:
        cal = calibrate([*points, *more], meter, thermometer=thermometer, inputs=inputs)
        found = slurry_ph(cal, jars, 21.0, expected=STATED)
        return cal, found.interval().half_width, future(found.footing, "buffer", 0).half_width()

    before = len(inputs)
    _, now, said = result([])
    assert len(inputs) <= before + 2, "what was only supposed stays out of the session's errors"
    three, brought, _ = result([point("10.01", middle, 1, None)])
    assert three.disputed is None
    # Where a buffer would widen it (its point moves with a poor thermometer), nothing is promised.
    assert said == pytest.approx(min(brought, now), rel=0.02)


def test_supposing_a_buffer_changes_no_value() -> None:
    cal = calibrate([("4.01", 178.2, 12.0), ("7.00", 1.8, 31.0)])
    more = with_one_more(cal, "10.01", 21.0)
    assert more.pieces[0].intercept.n == pytest.approx(cal.offset.n, abs=1e-9)
    assert more.pieces[0].slope.n == pytest.approx(cal.efficiency.n / 100.0, abs=1e-12)


def test_between_two_neighbours_a_bracket_gains_nothing_from_a_third() -> None:
    cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], fit="bracket")
    more = with_one_more(cal, "10.01", 22.0)
    assert len(more.pieces) == 2
    assert half_width(more.piece(84.3).slope) == pytest.approx(half_width(cal.efficiency) / 100.0, rel=1e-9)


def test_a_buffer_that_could_not_be_read_is_not_supposed() -> None:
    cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
    with pytest.raises(Refusal, match="off the table"):
        with_one_more(cal, "10.01", 55.0)
