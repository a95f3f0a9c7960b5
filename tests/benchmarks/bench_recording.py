"""What recording costs: a `read` that is recorded, over the same `read` without a logbook.

Run ``python tests/benchmarks/bench_recording.py``. Both are whole processes and take turns, so that
whatever else the machine does falls on both; medians. The logbook has three cases with two years of
monthly bench days. ``--quick`` is a smoke run.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")
BUFFERS = tuple(word for point in POINTS for word in ("--buffer", point))
READ = ("read", "5.58@21C", "5.66@21C")
NAMED = ("--meter", "desk", "--enclosure", "stairs")
CASES = ("window", "stairs", "atlas")
PROGRAM = (sys.executable, "-c", "import sys; from slurrycalc.cli import main; sys.exit(main())")
ROWS: tuple[tuple[str, tuple[str, ...], tuple[str, ...], float | None], ...] = (
    ("read, calibrated in one go", (*READ, *BUFFERS, *NAMED), (*READ, *BUFFERS), 1.3),
    ("read, under today's calibration", (*READ, *NAMED), (*READ, *BUFFERS), 1.3),
    ("read, only tried", (*READ, *BUFFERS, *NAMED, "--try"), (*READ, *BUFFERS), None),
    (
        "probe, by recorded pairs",
        ("probe", "6.0", "--probe", "stick", "--enclosure", "stairs"),
        ("probe", "6.0", "5.9=5.41"),
        None,
    ),
    ("slurrycalc alone", (), ("read", "5.58", *BUFFERS), None),
    ("history of a case", ("history", "stairs"), ("read", "5.58", *BUFFERS), None),
    ("event", ("event", "stairs", "water", "--amount", "1 L"), ("buffers",), None),
)
"""What is run, its name, what it is held against, and the most that it may take of it."""


def run(words: tuple[str, ...], env: Mapping[str, str]) -> float:
    """Run a line as a process of its own. [s]."""
    start = time.perf_counter()
    subprocess.run([*PROGRAM, *words], env=env, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def fill(path: Path, months: int) -> None:
    """Make a record of monthly bench days, the last one today."""
    import datetime

    from slurrycalc.cli.recording import present
    from slurrycalc.logbook.record import record
    from slurrycalc.logbook.refs import When
    from slurrycalc.logbook.step import Step
    from slurrycalc.logbook.store import open_logbook

    now = present()
    with open_logbook(path) as book:
        kit = Step("kit", When(now))
        desk, stick = kit.thing("meter", "desk", {"shows": "pH"}), kit.thing("probe", "stick")
        neutral = kit.thing("bottle", "7.00", {"label": "7.00"})
        acid = kit.thing("bottle", "4.01", {"label": "4.01"})
        cases = [kit.thing("enclosure", name) for name in CASES]
        record(book, kit, now)
        for month in reversed(range(months)):
            when = When(now - datetime.timedelta(days=28 * month, minutes=1))
            step = Step("run", when)
            calibration = step.calibration("pH", meter=desk)
            step.point(calibration, neutral, 7.04, 21.0)
            step.point(calibration, acid, 4.06, 21.0)
            for n, case in enumerate(cases):
                for jar in range(2):
                    slurry = step.slurry(case, label=f"{'ABC'[n]}{jar + 1}")
                    step.reading(slurry, calibration, 5.6 + 0.02 * jar + 0.01 * (month % 5), 21.0)
                    step.probing(6.1, probe=stick, enclosure=case, slurry=slurry)
            record(book, step, now)


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=9, help="processes of each kind, best 7 or more")
    parser.add_argument("--quick", action="store_true", help="one of each: a smoke run")
    given = parser.parse_args()
    times = 1 if given.quick else given.times
    with tempfile.TemporaryDirectory() as folder:
        full, used = Path(folder) / "full.sqlite", Path(folder) / "used.sqlite"
        fill(full, 3 if given.quick else 24)
        env = {**os.environ, "SLURRYCALC_LOGBOOK": str(used)}
        print(f"{'':<34}{'ms':>7}{'beside':>8}{'ratio':>8}{'at most':>9}")
        for name, words, beside, most in ROWS:
            pairs = []
            for _ in range(times):
                shutil.copyfile(full, used)
                pairs.append((run(words, env), run(beside, env)))
            ours, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
            limit = "" if most is None else f"{most:.1f}"
            late = "  over" if most is not None and ours / theirs > most else ""
            print(f"{name:<34}{ours * 1e3:>7.0f}{theirs * 1e3:>8.0f}{ours / theirs:>8.2f}{limit:>9}{late}")


if __name__ == "__main__":
    main()
