"""Time and memory of whole commands by the size of the record, and of a day from a table by its jars.

Run ``python tests/benchmarks/bench_sizes.py``. Each command runs as a process of its own, once to warm up and
once for its CPU time and the most memory that it took. ``--quick`` leaves the largest out; ``--million`` adds
a record of a million readings, which takes many minutes to be made.
"""

from __future__ import annotations

import argparse
import datetime
import random
from pathlib import Path
from tempfile import TemporaryDirectory

from big_record import _made_apart, run

RECORDS = {1_000: (20, 25), 10_000: (100, 50), 100_000: (1000, 50), 1_000_000: (5000, 100)}
"""Readings: enclosures and bench days, two slurries each."""
LINES = ((), ("due",), ("trend",), ("history", "--all"))
JARS = (1_000, 4_000, 10_000)
"""Of a table, two of each enclosure."""
POINTS = ("--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C")


def table_of_jars(path: Path, jars: int) -> Path:
    """Write a table with a row a jar."""
    draw = random.Random(1)
    rows = ["jar,enclosure,reading,temperature"]
    for i in range(jars // 2):
        level = draw.gauss(5.8, 0.5)
        rows += [f"{i}{k},case {i},{level + draw.gauss(0.0, 0.1):.2f},21" for k in "AB"]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a smoke run, without the largest")
    parser.add_argument("--million", action="store_true", help="a million readings too")
    given = parser.parse_args()
    today = datetime.datetime.now(datetime.UTC).astimezone().date()
    print(f"{'slurrycalc':<16}{'readings':>10}{'cpu s':>8}{'MB':>6}")
    with TemporaryDirectory() as name:
        folder = Path(name)
        cache = folder / "cache"
        largest = 10_000 if given.quick else 1_000_000 if given.million else 100_000
        for readings, (enclosures, days) in RECORDS.items():
            if readings > largest:
                continue
            book = _made_apart(folder / f"{readings}.sqlite", enclosures, days, today)
            for words in LINES:
                run(book, *words, cache=cache)
                _, cpu, memory = run(book, *words, cache=cache)
                row = f"{' '.join(words) or '(alone)':<16}{readings:>10,}"
                print(f"{row}{cpu:>8.1f}{memory:>6.0f}", flush=True)
        for jars in JARS[: 1 if given.quick else None]:
            path = table_of_jars(folder / f"{jars}.csv", jars)
            _, cpu, memory = run(folder / "none.sqlite", "run", str(path), *POINTS, cache=cache)
            print(f"{'run DAY.csv':<16}{jars:>10,}{cpu:>8.1f}{memory:>6.0f}", flush=True)


if __name__ == "__main__":
    main()
