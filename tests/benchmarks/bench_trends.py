"""How long it takes to draw a line through every enclosure of a large record.

Run it by hand: ``python tests/benchmarks/bench_trends.py``, with ``--quick`` for a smoke run.
"""

from __future__ import annotations

import sys
import tracemalloc
from datetime import date, timedelta
from time import perf_counter

import numpy as np
from uncertainties import ufloat

from slurrycalc.deciding.due import Upkept, due
from slurrycalc.deciding.trend import Trend, trend
from slurrycalc.metrology.batch import Batch, Loadings
from slurrycalc.metrology.batches import means, split

SLURRIES = 2
INPUTS = 5  # of each day's calibration


def record(enclosures: int, days: int) -> Batch:
    """Two slurries of each enclosure on each day, under that day's calibration, in three bottles."""
    rng = np.random.default_rng(1)
    shape = (enclosures, days, SLURRIES)
    level = 5.9 - 0.01 * np.arange(days)[None, :, None]
    values = (level + rng.normal(0.0, 0.1, shape)).ravel()
    bottles = [ufloat(0.0, 0.0115) for _ in range(3)]
    inputs = (*bottles, *(ufloat(0.0, 0.003) for _ in range(INPUTS * days)))
    day = np.broadcast_to(np.arange(days)[None, :, None], shape).ravel()
    own = 3 + INPUTS * day[:, None] + np.arange(INPUTS)[None, :]
    col = np.hstack([np.broadcast_to(np.arange(3), (len(values), 3)), own])
    row = np.broadcast_to(np.arange(len(values))[:, None], col.shape)
    weight = rng.uniform(0.3, 0.7, col.shape)
    loadings = Loadings(row.ravel().astype(np.intp), col.ravel().astype(np.intp), weight.ravel())
    return Batch(values, np.full(len(values), 0.005), loadings, inputs)


def trends(batch: Batch, days: list[date], enclosures: int) -> list[Trend]:
    bench_day = np.repeat(np.arange(enclosures * len(days)), SLURRIES)
    by_day = means(batch, bench_day)
    cases = split(by_day, np.repeat(np.arange(enclosures), len(days)))
    return [trend(days, case) for case in cases]


def main() -> None:
    enclosures, n = (50, 20) if "--quick" in sys.argv else (1000, 50)
    days = [date(2019, 1, 1) + timedelta(days=30 * i) for i in range(n)]
    batch = record(enclosures, n)
    times = {}
    start = perf_counter()
    lines = trends(batch, days, enclosures)
    times["trend"] = perf_counter() - start
    start = perf_counter()
    cases = [Upkept(f"case {i}", days[-1], line.retest_by(5.0)) for i, line in enumerate(lines)]
    found = due(cases, days[-1])
    times["retest and due"] = perf_counter() - start
    start = perf_counter()
    for line in lines:
        line.crossing(5.0)
    times["crossing"] = perf_counter() - start
    assert len(found.items) == enclosures
    for what, taken in times.items():
        print(f"{len(batch)} readings, {enclosures} enclosures: {what} {taken:.2f} s   at most 1 s")
    tracemalloc.start()
    trends(batch, days, enclosures)
    print(f"most memory of trend: {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB   at most 300 MB")
    tracemalloc.stop()


if __name__ == "__main__":
    main()
