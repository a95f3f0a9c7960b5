"""A logbook of about 100,000 readings, made up through the logbook's own functions, for benchmarks.

Bench days of all enclosures, two slurries each: a calibration a day in two bottles that are replaced every
fifty days, one entry for each enclosure, a weekly probe, leaf litter, and an exchange in every tenth
enclosure. The last bench day lies ten days back.
"""

from __future__ import annotations

import argparse
import datetime
import multiprocessing
import os
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import Ref, When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook

SLURRIES = 2
SHAPES = {"50 enclosures": (50, 1000), "1,000 enclosures": (1000, 50)}
"""Enclosures and bench days; each is 100,000 readings."""
QUICK = {"20 enclosures": (20, 25)}
"""The same for a smoke run."""
SPACING = {1000: 5, 50: 30, 25: 30}
"""From one bench day to the next, by how many there are. [d]"""


def make(path: Path, enclosures: int, days: int, today: datetime.date) -> Path:
    """Write a logbook; the same record for the same numbers and day.

    Parameters
    ----------
    path : Path
        A file that is not there yet.
    enclosures, days : int
        How many.
    today : date
        The last bench day lies ten days before it.

    Returns
    -------
    Path
        Of the logbook.
    """
    draw = random.Random(1)
    spacing = datetime.timedelta(days=SPACING.get(days, 30))
    last = datetime.datetime.combine(today, datetime.time(10), datetime.UTC) - datetime.timedelta(days=10)
    first = last - (days - 1) * spacing
    kit = Step("kit", When(first - spacing))
    desk, stick = kit.thing("meter", "desk", {"shows": "pH"}), kit.thing("probe", "stick")
    shelf = []
    for i in range(days // 50 + 1):
        done = min(first + 50 * (i + 1) * spacing, last).date().isoformat()
        # Only the newest pair is in use still.
        said = {} if i == days // 50 else {"retired": done}
        pair = (("neutral", "7.00"), ("acid", "4.01"))
        shelf.append([kit.thing("bottle", f"{name} {i}", {"label": label, **said}) for name, label in pair])
    cases = [kit.thing("enclosure", f"case {i}", {"floor": 5.0}) for i in range(enclosures)]
    drifts = [draw.gauss(-0.01, 0.01) for _ in cases]
    steps = [kit]
    for n in range(days):
        at = first + n * spacing
        step, under = _calibrate(at, desk, shelf[n // 50], draw)
        steps.append(step)
        for i, case in enumerate(cases):
            step = Step("read", When(at + datetime.timedelta(minutes=30)))
            level = 5.9 + max(drifts[i] * (n - days + 30), -0.5)
            for label in "AB":
                jar = step.slurry(case, label=label)
                step.reading(jar, under, round(level + draw.gauss(0, 0.1), 2), 21.0)
            step.probing(round(draw.gauss(6.0, 0.3), 1), probe=stick, enclosure=case, slurry=jar)
            if n % 3 == 0:
                step.event(case, "leaf-litter", amount=500.0, unit="mL")
            if i % 10 == 0 and n == days - 4:
                step.event(case, "exchange", amount=3000.0, unit="mL")
            steps.append(step)
    now = datetime.datetime.combine(today, datetime.time(12), datetime.UTC)
    with open_logbook(path) as book, book.transaction():
        record_within(book, steps, now)
    return path


def _calibrate(
    at: datetime.datetime, meter: str, bottles: list[str], draw: random.Random
) -> tuple[Step, Ref]:
    neutral, acid = bottles
    step = Step("calibrate", When(at))
    under = step.calibration("pH", meter=meter)
    step.point(under, neutral, round(7.02 + draw.gauss(0, 0.02), 2), 21.0)
    step.point(under, acid, round(4.02 + draw.gauss(0, 0.02), 2), 21.0)
    step.point(under, neutral, round(7.03 + draw.gauss(0, 0.01), 2), 21.0, role="close")
    return step, under


def run(logbook: Path, *words: str, cache: Path) -> tuple[float, float, float]:
    """Run a command of slurrycalc as a process of its own, its byte code cached as an installer leaves it.

    Parameters
    ----------
    logbook : Path
        Which record.
    words : str
        The command line.
    cache : Path
        Folder for byte code.

    Returns
    -------
    wall, cpu : float
        [s]
    memory : float
        The most it took. [MB]
    """
    program = [sys.executable, "-c", "import sys; from slurrycalc.cli import main; sys.exit(main())", *words]
    environment = {**os.environ, "SLURRYCALC_LOGBOOK": str(logbook), "PYTHONPYCACHEPREFIX": str(cache)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    start = time.perf_counter()
    process = subprocess.Popen(program, stdout=subprocess.DEVNULL, env=environment)
    _, status, used = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"slurrycalc {' '.join(words)} ended with status {process.returncode}")
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


MOST_MEMORY = 300
"""[MB]"""
MOST_TIME = 1.0
"""Beyond what a record of one bench day takes, CPU. [s]"""


def report(lines: Sequence[Sequence[str]], about: str | None) -> None:
    """Print what commands take on each shape of the record, the median of several runs.

    Parameters
    ----------
    lines : sequence of sequence of str
        Command lines; a name of a file ends in .ics.
    about : str or None
        What the script says of itself.
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--quick", action="store_true", help="a tenth of it: a smoke run")
    quick = parser.parse_args().quick
    times = 1 if quick else 5
    today = datetime.datetime.now(datetime.UTC).astimezone().date()
    print(f"{'':<17}{'slurrycalc':<26}{'wall s':>8}{'cpu s':>8}{'cpu beyond one bench day':>26}{'MB':>6}")
    with TemporaryDirectory() as name:
        folder = Path(name)
        bare = _made_apart(folder / "bare.sqlite", 5, 1, today)
        for shape, (enclosures, days) in (QUICK if quick else SHAPES).items():
            book = _made_apart(folder / f"{enclosures}.sqlite", enclosures, days, today)
            for words in lines:
                line = [str(folder / word) if word.endswith(".ics") else word for word in words]
                ran = [
                    (run(book, *line, cache=folder / "cache"), run(bare, *line, cache=folder / "cache"))
                    for _ in range(times + 1)
                ][1:]
                wall, cpu, memory = (statistics.median(one[k] for one, _ in ran) for k in range(3))
                beyond = cpu - statistics.median(floor[1] for _, floor in ran)
                over = "  over" if beyond > MOST_TIME or memory > MOST_MEMORY else ""
                said = " ".join(words) or "(alone)"
                print(f"{shape:<17}{said:<26}{wall:>8.2f}{cpu:>8.2f}{beyond:>26.2f}{memory:>6.0f}{over}")


def _made_apart(path: Path, enclosures: int, days: int, today: datetime.date) -> Path:
    """Write a logbook in a process of its own: what this one took would count as what its children take."""
    maker = multiprocessing.get_context("spawn").Process(target=make, args=(path, enclosures, days, today))
    maker.start()
    maker.join()
    return path
