"""How long the page of a record takes, beside importing what it cannot do without; and that of forty beds.

Run ``python tests/benchmarks/bench_report.py``. Processor time of whole processes, the least of some:
eighteen months of three enclosures may take 3 times their imports and 0.25 s a figure, forty enclosures 20 s.
``--quick`` is a smoke run of the first.
"""

from __future__ import annotations

import argparse
import datetime
import os
import resource
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.big_record import make

EXAMPLE = Path(__file__).parents[2] / "examples" / "eighteen-months"
FLOOR = "import matplotlib.figure, jinja2, numpy, scipy.special"
ON = "2025-11-01"
TIMES, A_FIGURE, MOST = 3.0, 0.25, 20.0


def seconds(command: list[str], environment: dict[str, str]) -> float:
    """Time one whole process by what the processor did for it. [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def page(folder: Path, book: Path, times: int, environment: dict[str, str]) -> tuple[float, int]:
    """Write the page of a record some times: the least that one took [s], and its figures."""
    made = folder / "page.html"
    program = [sys.executable, "-m", "slurrycalc"]
    words = ["report", "--on", ON, "--out", str(made), "--logbook", str(book)]
    least = []
    for _ in range(times):
        made.unlink(missing_ok=True)
        least.append(seconds([*program, *words], environment))
    return min(least), made.read_text(encoding="utf-8").count("<figure>")


def main() -> None:
    """Print what they take."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--quick", action="store_true")
    quick = asked.parse_args().quick
    with TemporaryDirectory() as name:
        folder = Path(name)
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "cache")}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        book, times = folder / "record.sqlite", 1 if quick else 3
        words = ["import", str(EXAMPLE), "--logbook", str(book)]
        seconds([sys.executable, "-m", "slurrycalc", *words], environment)
        bare = min(seconds([sys.executable, "-c", FLOOR], environment) for _ in range(times + 1))
        took, figures = page(folder, book, times, environment)
        may = TIMES * bare + A_FIGURE * figures
        print(
            f"three enclosures: {took:.2f} s, {figures} figures; imports {bare:.2f} s, so {may:.2f} s at most"
        )
        if not quick:
            forty = make(folder / "forty.sqlite", 40, 18, datetime.date.fromisoformat(ON))
            took, figures = page(folder, forty, 1, environment)
            print(f"forty enclosures: {took:.2f} s, {figures} figures; {MOST:.0f} s at most")


if __name__ == "__main__":
    main()
