"""A logbook of 100,000 readings: how long its questions take, and how much memory.

Run ``python tests/benchmarks/bench_logbook.py``. It makes up fifty cases, each read twice on a thousand bench
days, then times one step, an enclosure's history, all readings, pairs of a probe, and the ways out and in.
``--quick`` makes a tenth of it.
"""

from __future__ import annotations

import argparse
import datetime
import io
import random
import resource
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.foreign import read_foreign
from slurrycalc.logbook.handing_down import import_foreign
from slurrycalc.logbook.history import history
from slurrycalc.logbook.merging import import_package
from slurrycalc.logbook.past import expectation, pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record, record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.replicates import replicates
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, open_logbook
from slurrycalc.metrology.uncertain import Inputs

START = datetime.datetime(2010, 1, 1, 10, tzinfo=datetime.UTC)
NOW = datetime.datetime(2030, 1, 1, tzinfo=datetime.UTC)
CASES = 50


def fill(book: Store, days: int) -> None:
    """Record bench days of all cases, two jars each, closed by the first bottle."""
    draw = random.Random(1)
    kit = Step("kit", When(START))
    desk, stick = kit.thing("meter", "desk", {"shows": "pH"}), kit.thing("probe", "stick")
    bottles = [
        (
            kit.thing("bottle", f"neutral {i}", {"label": "7.00"}),
            kit.thing("bottle", f"acid {i}", {"label": "4.01"}),
        )
        for i in range(days // 50 + 1)
    ]
    cases = [kit.thing("enclosure", f"case {i}") for i in range(CASES)]
    steps = [kit]
    for day in range(days):
        at = START + datetime.timedelta(days=5 * day)
        neutral, acid = bottles[day // 50]
        step = Step("calibrate", When(at))
        calibration = step.calibration("pH", meter=desk)
        step.point(calibration, neutral, round(7.02 + draw.gauss(0, 0.02), 2), 21.0)
        step.point(calibration, acid, round(4.02 + draw.gauss(0, 0.02), 2), 21.0)
        step.point(calibration, neutral, round(7.03 + draw.gauss(0, 0.01), 2), 21.0, role="close")
        steps.append(step)
        for case in cases:
            step = Step("read", When(at + datetime.timedelta(minutes=30)))
            for label in "AB":
                jar = step.slurry(case, label=label)
                step.reading(jar, calibration, round(draw.gauss(5.6, 0.1), 2), 21.0)
            step.probing(round(draw.gauss(6.0, 0.3), 1), probe=stick, enclosure=case, slurry=jar)
            steps.append(step)
    with book.transaction():
        record_within(book, steps, NOW)


def timed(what: str, does: Callable[[], Any], per: int | None = None) -> Any:
    """Print how long something takes."""
    start, cpu = time.perf_counter(), time.process_time()
    found = does()
    wall, cpu = time.perf_counter() - start, time.process_time() - cpu
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    rate = f"{per / wall:9,.0f} rows/s" if per else ""
    print(f"{what:<44} {wall:7.3f} s wall {cpu:7.3f} s cpu {memory:5.0f} MB at most {rate}")
    return found


def one_step(book: Store) -> float:
    """Time one recorded step, from its making to the disk [s]."""
    start = time.perf_counter()
    step = Step("read", When(NOW))
    for label in "AB":
        step.reading(step.slurry(label=label), None, 5.6)
    record(book, step, NOW)
    return time.perf_counter() - start


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of it: a smoke run")
    days = 100 if parser.parse_args().quick else 1000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_logbook(folder / "small.sqlite") as book:
            steps = [one_step(book) for _ in range(200)]
        print(f"{'one step':<44} {statistics.median(steps) * 1000:7.2f} ms, a commit and its syncs included")
        with open_logbook(folder / "big.sqlite") as book:
            timed("made up", lambda: fill(book, days), days * CASES * 2)
        with open_logbook(folder / "big.sqlite", writes=False) as book:
            case = Recall(book).things.find("enclosure", "case 7")
            stick = Recall(book).things.find("probe", "stick")
            timed("history of one enclosure", lambda: history(Recall(book, Inputs()), case))
            later = NOW.date()
            timed("what to expect of it", lambda: expectation(Recall(book, Inputs()), case, later))
            timed("a probe's newest pairs", lambda: pairs(Recall(book, Inputs()), stick))
            every = timed("all readings", lambda: Recall(book, Inputs()).readings())
            timed("all days of replicates", lambda: replicates(every))
            rows = timed("out", lambda: export(book, folder / "out", NOW)).rows
        with open_logbook(folder / "in.sqlite") as book:
            timed("in", lambda: import_package(book, folder / "out", NOW), rows)
        table = "date,ph,enclosure,jar\n" + "".join(
            f"{(START + datetime.timedelta(days=5 * day)).date()},{5.6 + case / 100},case {case},{jar}\n"
            for day in range(days)
            for case in range(CASES)
            for jar in "AB"
        )
        with open_logbook(folder / "old.sqlite") as book:
            timed(
                "in, from a foreign table",
                lambda: import_foreign(
                    book, read_foreign(io.BytesIO(table.encode()), "old.csv"), NOW, adds=True
                ),
                days * CASES * 2,
            )


if __name__ == "__main__":
    main()
