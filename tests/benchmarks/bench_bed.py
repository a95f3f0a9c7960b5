"""How long it takes to teach the model of a bed: one of 50 days, and a thousand of 50 days each.

Run ``python tests/benchmarks/bench_bed.py``. The floor is the plainest filter of level and rate with known
variances, in NumPy, over the same days in the same run. ``--quick`` is a smoke run.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from datetime import date, timedelta

import numpy as np

from slurrycalc.deciding.bed import (
    Happening,
    Mix,
    Replaced,
    bed,
    beds,
    day_mean,
    hold,
    level,
    limit_dates,
    reach,
    read_by,
)

FIRST = date(2020, 1, 1)


def record(seed: int, days: int, exchanges: int = 0) -> list[Happening]:
    """Make up a bed that is read once a month, two jars a day."""
    random = np.random.default_rng(seed)
    found: list[Happening] = []
    for k in range(days):
        day = FIRST + timedelta(days=31 * k)
        jars = 6.0 - 0.02 * k + random.normal(0.0, 0.08, 2)
        found.append(day_mean(day, jars.tolist(), 0.012))
        if exchanges and k % (days // exchanges) == days // (2 * exchanges):
            found.append(Replaced(day, 0.25, 6.6, 0.05))
    return found


def plain_filter(y: Sequence[float]) -> float:
    """Filter level and rate with known variances: the floor."""
    state, spread = np.array([y[0], 0.0]), np.diag([100.0, 0.01])
    move, noise, see = np.array([[1.0, 1.0], [0.0, 1.0]]), np.diag([0.0, 1e-6]), np.array([1.0, 0.0])
    for each in y:
        gain = spread @ see / (see @ spread @ see + 0.01)
        state = state + gain * (each - see @ state)
        spread = spread - np.outer(gain, see @ spread)
        state, spread = move @ state, move @ spread @ move.T + noise
    return float(state[0])


def seconds(work: Callable[[], object], times: int) -> float:
    """Give the least processor time [s] of some runs."""
    found = []
    for _ in range(times):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a smoke run")
    quick = parser.parse_args().quick
    many = 20 if quick else 1000
    one, exchanged = record(1, 50), record(1, 50, 2)
    plain = [record(seed, 50) for seed in range(many)]
    mixed = [record(seed, 50, 2) for seed in range(many)]
    now, mix = bed(one), Mix(6.6, 0.05)
    rows = (
        ("one bed, 50 days", lambda: bed(one), 9, 0.015),
        ("one bed, 50 days, 2 exchanges", lambda: bed(exchanged), 9, 0.015),
        ("a new day for it", lambda: now.after(day_mean(date(2026, 1, 1), [5.0, 5.1], 0.012)), 9, None),
        ("its level with interval", lambda: level(now).interval(), 9, None),
        ("by when to read it again", lambda: read_by(now, [("floor", 4.5)]), 9, None),
        ("the days of a limit", lambda: limit_dates(now, ("floor", 4.0)), 9, None),
        ("the exchange that reaches a pH", lambda: reach(now, now.last, ("floor", 5.4), mix), 9, None),
        ("the upkeep that holds one", lambda: hold(now, now.last, ("floor", 4.7), mix), 9, None),
        (f"{many} beds, 50 days", lambda: beds(plain), 2, 3.0),
        (f"{many} beds, 50 days, 2 exchanges", lambda: beds(mixed), 2, 3.0),
    )
    y = [each.mean for each in one if hasattr(each, "mean")]
    floor = seconds(lambda: plain_filter(y), 9)
    print(f"{'':<36}{'ms':>9}{'at most':>9}{'floors':>9}   (floor: {1000 * floor:.2f} ms)")
    for name, work, times, most in rows:
        took = seconds(work, 1 if quick else times)
        limit = "" if most is None else f"{1000 * most:.0f}"
        print(f"{name:<36}{1000 * took:>9.2f}{limit:>9}{took / floor:>9.1f}")


if __name__ == "__main__":
    main()
