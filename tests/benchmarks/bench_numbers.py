"""How long the numbers take: intervals, the straight line's digits, and a large batch.

Run it by hand: ``python tests/benchmarks/bench_numbers.py``. Each time is the best of several rounds; of one
with ``--quick``, a smoke run.
"""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Callable
from math import log10
from time import perf_counter

import numpy as np
from uncertainties import ufloat

from slurrycalc.metrology.batch import Batch, Loadings
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import Source, fresh_key

# NIST StRD Norris (public domain), x then y, and its certified intercept and slope
NORRIS = np.array(
    [
        (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1),
        (666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3),
        (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8),
        (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
        (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9),
        (11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
    ]
)  # fmt: skip
CERTIFIED = (-0.262323073774029, 1.00211681802045)

ROWS, INPUTS = 100_000, 5_000
ROUNDS = 1 if "--quick" in sys.argv else 5


def best(work: Callable[[int], object], times: int, rounds: int = ROUNDS) -> float:
    """Time of one call in milliseconds, the best of some rounds; its number keeps caches from answering."""
    found = []
    for r in range(rounds):
        start = perf_counter()
        for i in range(times):
            work(r * times + i)
        found.append((perf_counter() - start) / times)
    return 1e3 * min(found)


def interval_time(groups: int, sigma: float) -> float:
    x = 5.6 + ufloat(0.0, sigma)
    for nu in range(2, 2 + groups):
        x = x + ufloat(0.0, 0.02 * nu, tag=Source(fresh_key("g"), "group", "A", nu))
    return best(lambda i: half_width(x, 0.95 + 1e-9 * i), 50)


def large_batch() -> tuple[float, float, float]:
    """Times of making and fitting in milliseconds, and the most memory in megabytes."""
    rng = np.random.default_rng(1)
    inputs = tuple(ufloat(0.0, 0.02) for _ in range(INPUTS))
    row = np.repeat(np.arange(ROWS), 2)
    loadings = Loadings(row, rng.integers(0, INPUTS, 2 * ROWS), rng.normal(1.0, 0.1, 2 * ROWS))
    values, own = rng.normal(5.6, 0.1, ROWS), np.full(ROWS, 0.01)
    X = np.column_stack([np.ones(ROWS), np.linspace(0.0, 1.0, ROWS)])
    make = best(lambda i: Batch(values, own, loadings, inputs), 3)
    batch = Batch(values, own, loadings, inputs)
    fit = best(lambda i: scatter_fit(X, batch, Scatter(0.1, 2)), 3)
    tracemalloc.start()
    scatter_fit(X, batch, Scatter(0.1, 2))
    most = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    return make, fit, most


def main() -> None:
    for groups, sigma, limit in ((1, 0.03, 0.1), (2, 0.03, None), (4, 0.03, 5.0)):
        allowed = f"   at most {limit} ms" if limit else ""
        print(f"interval, {groups} t part(s) and a normal: {interval_time(groups, sigma):.3f} ms{allowed}")
    line = straight_line(NORRIS[:, 0], NORRIS[:, 1])
    pairs = zip((line.intercept, line.slope), CERTIFIED, strict=True)
    digits = min(-log10(abs(found.n - exact) / abs(exact)) for found, exact in pairs)
    print(f"straight_line, Norris: {digits:.1f} certified digits   at least 12")
    slurries = [5.4 + ufloat(0.0, 0.01), 5.5 + ufloat(0.0, 0.01)]
    fit = best(lambda i: scatter_fit([[1], [1]], slurries, Scatter(0.1, 2)), 50)
    print(f"scatter_fit, two slurries: {fit:.3f} ms")
    make, fit, most = large_batch()
    print(f"Batch, {ROWS} rows on {INPUTS} inputs: made {make:.1f} ms, fitted {fit:.1f} ms, {most:.0f} MB")


if __name__ == "__main__":
    main()
