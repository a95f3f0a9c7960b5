"""Calibrations as plain numbers are the same calibrations."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurrycalc.measuring.electrode import Calibration, Meter, Point, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.electrode.coefficients import PlainPoint, coefficients, read_many
from slurrycalc.metrology.uncertain import Inputs, covariance

ACID, NEUTRAL, BASIC = (
    Bottle("4.01", name="acid", measured=4.02, tolerance=0.01),
    Bottle("7.00", name="neutral"),
    Bottle("9.18", name="basic", tolerance=0.0),
)
IN_MV = ((ACID, 178.2, 21.0), (NEUTRAL, 1.8, 22.0), (BASIC, -128.0, 22.5))
IN_PH = ((ACID, 4.06, 21.0), (NEUTRAL, 7.03, 22.0), (BASIC, 9.22, 22.5))
METERS = (
    Meter("mV", name="desk"),
    Meter("mV", key="meter:17", junction=0.0, repeatability=0.0),
    Meter("pH", name="desk"),
    Meter("pH", name="desk", compensates=False),
)


def both_ways(
    meter: Meter, buffers: int, close: float | None, thermometer: float | None, inputs: Inputs
) -> tuple[Calibration, object]:
    rows = (IN_MV if meter.shows == "mV" else IN_PH)[:buffers]
    points = [Point(bottle, shows, t, key=f"point:{i}") for i, (bottle, shows, t) in enumerate(rows)]
    whole = calibrate(points, meter, thermometer=thermometer, inputs=inputs, key="calibration:1")
    plain = [PlainPoint(*row, f"point:{i}") for i, row in enumerate(rows)]
    closing = []
    if close is not None:
        shows = rows[1][1] + close
        whole = whole.close(NEUTRAL, shows, 23.0, key="point:9")
        closing = [PlainPoint(NEUTRAL, shows, 23.0, "point:9")]
    found = coefficients(
        plain, meter, key="calibration:1", inputs=inputs, thermometer=thermometer, closing=closing
    )
    return whole, found


@pytest.mark.parametrize("meter", METERS, ids=["mV", "mV-bare", "pH", "pH-uncompensated"])
@pytest.mark.parametrize("buffers", [2, 3])
@pytest.mark.parametrize("thermometer", [None, 0.0])
@settings(max_examples=8, deadline=None)
@given(
    close=st.none() | st.floats(0.01, 0.05),
    spots=st.lists(
        st.tuples(st.floats(4.5, 6.5), st.none() | st.floats(15.0, 30.0)), min_size=2, max_size=5
    ),
)
def test_many_readings_have_the_values_and_covariances_of_single_ones(
    meter: Meter,
    buffers: int,
    thermometer: float | None,
    close: float | None,
    spots: list[tuple[float, float | None]],
) -> None:
    inputs = Inputs()
    whole, found = both_ways(meter, buffers, close, thermometer, inputs)
    shows = [59.0 * (7.0 - ph) if meter.shows == "mV" else ph for ph, _ in spots]
    temperatures = np.array([np.nan if t is None else t for _, t in spots])
    single = [
        whole.ph(shown, t, key=f"reading:{i}")
        for i, (shown, (_, t)) in enumerate(zip(shows, spots, strict=True))
    ]
    batch = read_many([found], np.zeros(len(spots), int), np.array(shows), temperatures)  # type: ignore[list-item]
    many = [batch.number(i) for i in range(len(spots))]
    for i, one in enumerate(single):
        assert many[i].n == pytest.approx(one.n, abs=1e-12)
        assert many[i].s == pytest.approx(one.s, rel=1e-9)
        for other in range(i):
            together = covariance(one, single[other])
            assert covariance(many[i], single[other]) == pytest.approx(together, rel=1e-9)


def test_a_disputed_calibration_is_left_to_the_whole_road() -> None:
    rows = [(ACID, 178.2, 21.0), (NEUTRAL, 9.0, 22.0), (BASIC, -128.0, 22.5)]
    plain = [PlainPoint(*row, f"point:{i}") for i, row in enumerate(rows)]
    assert coefficients(plain, Meter("mV", name="desk"), key="c", inputs=Inputs()) is None


@pytest.mark.parametrize(
    "rows",
    [
        [(ACID, 178.2, 21.0)],
        [(ACID, 178.2, 21.0), (ACID, 178.0, 21.0), (NEUTRAL, 1.8, 22.0)],
        [(Bottle("4.01"), 178.2, 21.0), (NEUTRAL, 1.8, 22.0)],
    ],
    ids=["one bottle", "read twice", "nameless"],
)
def test_an_unusual_calibration_is_left_to_the_whole_road(rows: list[tuple[Bottle, float, float]]) -> None:
    plain = [PlainPoint(*row, f"point:{i}") for i, row in enumerate(rows)]
    assert coefficients(plain, Meter("mV", name="desk"), key="c", inputs=Inputs()) is None


def test_a_closing_bottle_that_was_not_read_before_is_left_to_the_whole_road() -> None:
    plain = [PlainPoint(*row, f"point:{i}") for i, row in enumerate(IN_MV[:2])]
    closing = [PlainPoint(BASIC, -128.0, 22.0, "point:9")]
    assert coefficients(plain, Meter("mV", name="d"), key="c", inputs=Inputs(), closing=closing) is None
