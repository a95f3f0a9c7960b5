"""A million readings with their uncertainties, against the bare numpy expression for value and u.

Run: python tests/benchmarks/bench_ph_array.py. It prints the ratio, which is to be 3 at most, and the largest
relative difference from one reading at a time, 1e-12 at most. With --quick, one round: a smoke run.
"""

from __future__ import annotations

import sys
from math import hypot, log, sqrt
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from slurrycalc.measuring.electrode import calibrate
from slurrycalc.metrology.uncertain import covariance

Floats = NDArray[np.float64]
N = 1_000_000
ROUNDS = 1 if "--quick" in sys.argv else 7


def bare(readings: Floats, at: Floats, e7: float, eff: float, c: Floats, own: float) -> tuple[Floats, Floats]:
    """Write value and u as one would by hand: sensitivities and their covariance."""
    kelvin = at + 273.15
    slope = eff * 1000.0 * log(10.0) * 8.31446261815324 / 96485.3321233100184 * kelvin
    ph = 7.0 - (readings - e7) / slope
    d_e7, d_eff, d_t = 1.0 / slope, (7.0 - ph) / eff, (7.0 - ph) / kelvin
    square = d_e7**2 * (c[0, 0] + own**2) + d_eff**2 * c[1, 1] + d_t**2 * c[2, 2]
    square = square + 2.0 * (d_e7 * d_eff * c[0, 1] + d_e7 * d_t * c[0, 2] + d_eff * d_t * c[1, 2])
    return ph, np.sqrt(square + 0.02**2)


def farthest(a: Floats, b: Floats) -> float:
    """Give the largest relative difference."""
    return float(np.abs(a / b - 1.0).max())


def main() -> None:
    """Print the figures."""
    rng = np.random.default_rng(1)
    readings, at = rng.uniform(-150.0, 170.0, N), rng.uniform(15.0, 30.0, N)
    cals = {
        "two buffers": calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]),
        "three buffers": calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0), ("10.01", -175.4, 22.0)]),
        "disputed": calibrate([("4.01", 178.2, 22.0), ("7.00", 9.8, 22.0), ("10.01", -172.4, 22.0)]),
        "bracket": calibrate(
            [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0), ("10.01", -175.4, 22.0)], fit="bracket"
        ),
    }
    for name, cal in cals.items():
        thermometer = cal._response.temperatures.thermometer
        parts = [cal.offset, cal.efficiency / 100.0, thermometer]
        c = np.array([[covariance(a, b) for b in parts] for a in parts])
        own = hypot(0.3, 0.1 / sqrt(12.0))
        ours, theirs = [], []
        for _ in range(ROUNDS):
            start = perf_counter()
            ph, u = cal.ph_array(readings, at)
            ours.append(perf_counter() - start)
            start = perf_counter()
            plain, plain_u = bare(readings, at, cal.offset.n, cal.efficiency.n / 100.0, c, own)
            theirs.append(perf_counter() - start)
        worst = 0.0
        for i in range(0, N, N // 200):
            one = cal.ph(float(readings[i]), float(at[i]))
            worst = max(worst, abs(ph[i] / one.n - 1.0), abs(u[i] / one.s - 1.0))
        agree = (
            f"; from the bare expression {farthest(ph, plain):.0e}, u {farthest(u, plain_u):.0e}"
            if name in ("two buffers", "three buffers")
            else ""
        )
        ratio = min(ours) / min(theirs)
        print(
            f"ph_array, {N:,} readings, {name}: {1e3 * min(ours):.0f} ms, {ratio:.2f} x the bare numpy "
            f"expression (at most 3); from single readings {worst:.0e} (at most 1e-12){agree}"
        )


if __name__ == "__main__":
    main()
