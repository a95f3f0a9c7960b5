"""How long each command takes, as a multiple of importing what it cannot do without.

Run ``python tests/benchmarks/bench_commands.py``. Command and floor take turns, so that whatever else
the machine does falls on both; medians of whole processes. ``--quick`` is a smoke run.

Byte code is cached in a folder of the benchmark's own, as an installer leaves it: where the environment
forbids it, our source would be compiled anew in every process, and the installed floor would not.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from slurrycalc.cli.table import names

EXAMPLES = Path(__file__).parents[2] / "examples"
LIGHT = "import typer, rich.console"
AMOUNTS = "import typer, rich.table, pint"
NUMBERS = "import typer, rich.table, pint, uncertainties, numpy, scipy.special"
BUFFERS = ("--buffer", "4.01=178.2mV@22C", "--buffer", "7.00=1.8mV@22C")
ROWS: tuple[tuple[tuple[str, ...], str, float | None], ...] = (
    (("--help",), LIGHT, 1.0),
    ((), LIGHT, None),
    *(((name, "--help"), LIGHT, 1.3) for name in names()),
    (("mix",), AMOUNTS, 1.3),
    (("ratio", "1/2", "cup", "1", "cup"), NUMBERS, None),
    (("read", "84.3mV@21C", "85.1mV@21C", *BUFFERS), NUMBERS, 1.6),
    (("read", "84.3mV@21C", "85.1mV@21C", *BUFFERS, "--json"), NUMBERS, None),
    (("calibrate", "4.01=178.2mV@22C", "7.00=1.8mV@22C"), NUMBERS, None),
    (("compare", "--pairs", str(EXAMPLES / "pairs.csv")), NUMBERS, None),
    (("probe", "6.0", "--pairs", str(EXAMPLES / "pairs.csv")), NUMBERS, None),
    (("run", str(EXAMPLES / "reading-room.toml"), "--try"), NUMBERS, 1.6),
    (("verify",), NUMBERS, None),
)
"""What is run, its floor, and the most that it may take of it."""


def seconds(command: list[str], environment: dict[str, str]) -> float:
    """Time one whole process."""
    start = time.perf_counter()
    quiet = subprocess.DEVNULL
    subprocess.run(command, stdout=quiet, stderr=quiet, check=True, env=environment)
    return time.perf_counter() - start


def ratio(
    words: tuple[str, ...], floor: str, times: int, environment: dict[str, str]
) -> tuple[float, float, float]:
    """Time a command and its floor in turn: their medians [s] and the ratio of those."""
    program = [sys.executable, "-c", "import sys; from slurrycalc.cli import main; sys.exit(main())", *words]
    bare = [sys.executable, "-c", floor]
    for warming_up in (program, bare):
        seconds(warming_up, environment)
    pairs = [(seconds(program, environment), seconds(bare, environment)) for _ in range(times)]
    ours, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
    return ours, theirs, ours / theirs


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=9, help="processes of each kind, best 7 or more")
    parser.add_argument("--quick", action="store_true", help="one of each: a smoke run")
    given = parser.parse_args()
    times = 1 if given.quick else given.times
    print(f"{'slurrycalc':<34}{'ms':>7}{'floor':>8}{'ratio':>8}{'at most':>9}   floor is")
    with TemporaryDirectory() as cache:
        environment = {**os.environ, "PYTHONPYCACHEPREFIX": cache}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        for words, floor, most in ROWS:
            ours, theirs, multiple = ratio(words, floor, times, environment)
            name = " ".join(Path(word).name if "/" in word else word for word in words[:3]) or "(alone)"
            limit = "" if most is None else f"{most:.1f}"
            late = "  over" if most is not None and multiple > most else ""
            row = f"{name[:33]:<34}{ours * 1e3:>7.0f}{theirs * 1e3:>8.0f}{multiple:>8.2f}{limit:>9}"
            print(f"{row}   {floor}{late}", flush=True)


if __name__ == "__main__":
    main()
