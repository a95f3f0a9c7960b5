"""Whole files of readings: the same digits as one reading at a time."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.metrology.uncertain import Inputs

MV3 = [("4.01", 178.2, 22.0), ("7.00", 1.8, 21.0), ("10.01", -175.4, 23.0)]
BENT = [("4.01", 178.2, 22.0), ("7.00", 6.8, 22.0), ("10.01", -172.4, 22.0)]
PH2 = [("4.01", 4.05, 21.0), ("7.00", 7.02, 22.0)]


def cases() -> dict[str, Calibration]:
    desk = Meter("mV", name="desk")
    inputs = Inputs()
    # A buffer measured under the same meter's junction potential ties that to the line.
    own = calibrate(MV3[:2], desk, inputs=inputs).ph(160.0, 22.0)
    return {
        "two buffers": calibrate(MV3[:2]),
        "three buffers": calibrate(MV3),
        "temperatures not read": calibrate([("4.01", 178.2), ("7.00", 1.8)]),
        "disputed": calibrate(BENT),
        "bracket": calibrate(MV3, fit="bracket"),
        "disputed bracket": calibrate(BENT, fit="bracket"),
        "drift": calibrate(MV3).close("7.00", -4.0, 22.0),
        "no junction potential": calibrate(MV3, Meter("mV", junction=0.0)),
        "exact thermometer": calibrate(MV3, thermometer=0.0),
        "own buffer": calibrate([(own, 160.0, 22.0), ("7.00", 1.8, 22.0)], desk, inputs=inputs),
        "shows pH": calibrate(PH2, Meter("pH")),
        "shows pH, not compensated": calibrate(PH2, Meter("pH", compensates=False)),
        "shows pH, not compensated, drift": calibrate(PH2, Meter("pH", compensates=False)).close(
            "7.00", 7.1, 23.0
        ),
    }


CASES = cases()


@pytest.mark.parametrize("junction", [True, False])
@pytest.mark.parametrize("read", [True, False], ids=["temperatures", "no temperatures"])
@pytest.mark.parametrize("name", CASES)
def test_a_file_has_the_digits_of_single_readings(name: str, read: bool, junction: bool) -> None:
    cal = CASES[name]
    rng = np.random.default_rng(3)
    readings = rng.uniform(-250.0, 300.0, 200) if cal.meter.shows == "mV" else rng.uniform(1.0, 12.0, 200)
    at: Any = rng.uniform(5.0, 40.0, 200) if read else None
    ph, u = cal.ph_array(readings, at, junction)
    for i, reading in enumerate(readings):
        one = cal.ph(float(reading), float(at[i]) if read else None, junction)
        assert ph[i] == pytest.approx(one.n, rel=1e-12)
        assert u[i] == pytest.approx(one.s, rel=1e-12)


def test_a_file_longer_than_one_chunk_is_read_to_its_end() -> None:
    readings = np.linspace(-170.0, 170.0, 20_001)
    ph, u = CASES["bracket"].ph_array(readings, 21.0)
    for i in (0, 8191, 8192, 20_000):
        one = CASES["bracket"].ph(float(readings[i]), 21.0)
        assert (ph[i], u[i]) == (pytest.approx(one.n, rel=1e-12), pytest.approx(one.s, rel=1e-12))


def test_shapes_are_kept() -> None:
    cal = CASES["two buffers"]
    assert cal.ph_array([[84.3, 85.0], [86.0, 87.0]])[0].shape == (2, 2)
    assert cal.ph_array([])[0].shape == (0,)
    assert cal.ph_array(84.3, 21.0)[1].shape == ()
