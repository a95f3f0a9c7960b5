"""The whole chain against a reference library and against draws: value, u and effective degrees of freedom.

References: GTC (GUM tree calculator, Measurement Standards Laboratory of New Zealand), an independent
implementation of JCGM 100:2008; and Monte Carlo after JCGM 101:2008 with NumPy, which fits every draw anew.
"""

from __future__ import annotations

from math import inf, log, sqrt
from typing import Any

import GTC
import numpy as np
import pytest

from slurrycalc.measuring.electrode import Meter, calibrate
from slurrycalc.metrology.budget import budget

# Constants and tables are written out here, so that nothing is compared with itself.
K = 1000 * log(10) * 8.314462618 / 96485.33212  # mV/K, CODATA 2018 as printed
TABLE = {  # pH at a temperature and its slope per degC: IUPAC 2002 for 4.01, common practice for 7.00
    ("4.01", 22.0): (4.000 + 0.4 * 0.005, 0.001),
    ("7.00", 23.0): (7.016 - 0.6 * 0.016, -0.0032),
}
ACID, NEUTRAL = [178.1, 178.4, 178.3], [1.7, 2.0]
SLURRY = [84.1, 84.5, 84.6, 84.2]
METER_MV = Meter("mV", resolution=0.1, junction=0.02)
PH_ACID, PH_NEUTRAL, PH_SLURRY = [4.02, 4.04, 4.05], [7.01, 7.04], [5.41, 5.44, 5.40, 5.42]
METER_PH = Meter("pH", resolution=0.01, junction=0.02)
METER_RAW = Meter("pH", resolution=0.01, junction=0.02, compensates=False)


def pooled(*series: list[float]) -> tuple[float, int]:
    dof = sum(len(one) - 1 for one in series)
    return sqrt(sum(((np.array(one) - np.mean(one)) ** 2).sum() for one in series) / dof), dof


def by_reference(meter: Meter, acid: list[float], neutral: list[float], slurry: list[float]) -> Any:
    """Write the same model with the reference library."""
    sd, dof = pooled(acid, neutral)
    y_acid, y_neutral = GTC.multiple_ureal(
        [float(np.mean(acid)), float(np.mean(neutral))], [sd / sqrt(len(acid)), sd / sqrt(len(neutral))], dof
    )
    own = np.std(slurry, ddof=1) / sqrt(len(slurry))
    y = GTC.ureal(float(np.mean(slurry)), float(own), len(slurry) - 1)
    step = meter.least_step.value / sqrt(12)
    y_acid, y_neutral, y = (one + GTC.ureal(0.0, step, inf) for one in (y_acid, y_neutral, y))
    thermometer = GTC.ureal(0.0, 1.0 / sqrt(3), inf)

    def gain(at: float) -> Any:
        kelvin = at + thermometer + 273.15
        if meter.shows == "mV":
            return -K * kelvin
        return 1.0 if meter.compensates else kelvin / (22.5 + 273.15)

    def place(label: str, at: float) -> Any:
        ph, slope = TABLE[label, at]
        return gain(at) * (ph + slope * thermometer + GTC.ureal(0.0, 0.02 / sqrt(3), inf) - 7.0)

    x_acid, x_neutral = place("4.01", 22.0), place("7.00", 23.0)
    zero = 0.0 if meter.shows == "mV" else 7.0
    slope = (y_acid - y_neutral) / (x_acid - x_neutral)
    at_seven = y_acid - zero - slope * x_acid
    ph = 7.0 + (y - zero - at_seven) / (slope * gain(21.0)) + GTC.ureal(0.0, 0.02, inf)
    return ph, slope, at_seven


@pytest.mark.parametrize(
    ("meter", "acid", "neutral", "slurry"),
    [
        (METER_MV, ACID, NEUTRAL, SLURRY),
        (METER_PH, PH_ACID, PH_NEUTRAL, PH_SLURRY),
        (METER_RAW, PH_ACID, PH_NEUTRAL, PH_SLURRY),
    ],
    ids=["mV", "pH", "pH without compensation"],
)
def test_the_two_point_chain_is_that_of_the_reference_library(
    meter: Meter, acid: list[float], neutral: list[float], slurry: list[float]
) -> None:
    cal = calibrate([("4.01", acid, 22.0), ("7.00", neutral, 23.0)], meter)
    theirs = by_reference(meter, acid, neutral, slurry)
    for ours, other in zip((cal.ph(slurry, 21.0), cal.efficiency / 100.0, cal.offset), theirs, strict=True):
        # The printed constants differ from the exact ones by 2e-10.
        assert ours.n == pytest.approx(GTC.value(other), rel=1e-9)
        assert ours.s == pytest.approx(GTC.uncertainty(other), rel=1e-9)
        assert budget(ours).dof == pytest.approx(GTC.dof(other), rel=1e-9)
    assert GTC.dof(theirs[0]) < 1e5


DRAWS = 200_000


@pytest.mark.parametrize("three", [False, True], ids=["two buffers", "three buffers"])
def test_the_chain_is_that_of_a_monte_carlo(three: bool) -> None:
    rng = np.random.default_rng(20240504)
    u_own = sqrt(0.3**2 + 0.1**2 / 12)
    labels = {"4.01": (22.0, 178.2), "7.00": (23.0, 1.8), "10.01": (22.0, -174.9)}
    if not three:
        del labels["10.01"]
    table = {"4.01": (4.002, 0.001), "7.00": (7.0064, -0.0032), "10.01": (10.042, -0.010)}
    thermometer = rng.uniform(-1, 1, DRAWS)
    x, y = [], []
    for label, (at, shown) in labels.items():
        ph, slope = table[label]
        drawn = ph + slope * thermometer + rng.uniform(-0.02, 0.02, DRAWS)
        x.append(-K * (at + thermometer + 273.15) * (drawn - 7.0))
        y.append(shown + rng.normal(0.0, u_own, DRAWS))
    xs, ys = np.array(x), np.array(y)
    cal = calibrate([(label, shown, at) for label, (at, shown) in labels.items()])
    # Weights of ISO/TS 28037, 7: 1/(u_y² + b² u_x²), the same for every draw.
    u_x = np.array([K * 295.65 * 0.02 / sqrt(3)] * len(x))
    u_x = np.hypot(
        u_x,
        [
            K * abs(table[one][0] - 7 + (t + 273.15) * table[one][1]) / sqrt(3)
            for one, (t, _) in labels.items()
        ],
    )
    w = (1 / (u_own**2 + u_x**2))[:, None]
    middle = (w * xs).sum(0) / w.sum()
    slope = (w * (xs - middle) * ys).sum(0) / (w * (xs - middle) ** 2).sum(0)
    at_seven = (w * ys).sum(0) / w.sum() - slope * middle
    reading = 84.3 + rng.normal(0.0, u_own, DRAWS)
    drawn = (
        7.0 - (reading - at_seven) / (slope * K * (21.0 + thermometer + 273.15)) + rng.normal(0, 0.02, DRAWS)
    )
    for ours, theirs in ((cal.ph(84.3, 21.0), drawn), (cal.efficiency, 100 * slope), (cal.offset, at_seven)):
        spread = float(theirs.std())
        assert abs(ours.n - theirs.mean()) < 4 * spread / sqrt(DRAWS) + 2e-4 * spread
        assert ours.s == pytest.approx(spread, rel=4 / sqrt(2 * DRAWS) + 2e-3 * three)


def test_readings_under_one_calibration_are_correlated_as_draws_are() -> None:
    rng = np.random.default_rng(7)
    acid, neutral = (rng.uniform(-0.02, 0.02, DRAWS) for _ in range(2))
    x = [-K * 298.15 * (4.005 + acid - 7.0), -K * 298.15 * neutral]
    y = [178.2 + rng.normal(0, 0.3, DRAWS), 1.8 + rng.normal(0, 0.3, DRAWS)]
    slope = (y[1] - y[0]) / (x[1] - x[0])
    at_seven = y[0] - slope * x[0]
    a, b = (7.0 - (e + rng.normal(0, 0.3, DRAWS) - at_seven) / (slope * K * 298.15) for e in (84.3, 120.0))
    cal = calibrate(
        [("4.01", 178.2, 25.0), ("7.00", 1.8, 25.0)],
        Meter("mV", resolution=1e-6, junction=0.0),
        thermometer=0.0,
    )
    ours = [cal.ph(84.3, 25.0), cal.ph(120.0, 25.0)]
    for number, theirs in ((ours[0] - ours[1], a - b), (ours[0] + ours[1], a + b)):
        assert number.s == pytest.approx(float(theirs.std()), rel=4 / sqrt(2 * DRAWS))
