"""What README shows is what the commands print, and what it imports works."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHOWN = re.compile(r"^```console\n\$ slurrycalc (.*?)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
BLOCKS = [
    (section.partition("\n")[0], words, shown)
    for section in re.split(r"^## ", README, flags=re.MULTILINE)
    for words, shown in SHOWN.findall(section)
]
MONTHS = "Months on: drift, exchange, what is due"
"""This section looks at a record of its own; all others share one, in their order."""


@pytest.fixture(scope="module")
def logbooks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the tour's own records lie."""
    return tmp_path_factory.mktemp("tour")


@pytest.mark.parametrize(("section", "words", "shown"), BLOCKS, ids=[words[:40] for _, words, _ in BLOCKS])
def test_the_tour_is_real_output(section: str, words: str, shown: str, logbooks: Path) -> None:
    """Three dots on a line stand for what was left out."""
    command = [sys.executable, "-m", "slurrycalc", *shlex.split(words)]
    logbook = logbooks / ("months.sqlite" if section == MONTHS else "bench.sqlite")
    env = {**os.environ, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8", "SLURRYCALC_LOGBOOK": str(logbook)}
    run = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, encoding="utf-8", check=False)
    stretches = (re.escape(stretch) for stretch in re.split(r"^\.\.\.\n", shown, flags=re.MULTILINE))
    printed = (run.stdout + run.stderr).strip("\n") + "\n"
    assert re.fullmatch(".*".join(stretches), printed, re.DOTALL), printed


def test_the_tour_shows_the_main_commands() -> None:
    main = {"mix", "run", "probe", "read", "ratio", "calibrate", "history", "undo"}
    months = {"trend", "exchange", "upkeep", "due", "agree"}
    assert main | months <= {words.split()[0] for _, words, _ in BLOCKS}


def test_the_first_block_is_the_two_set_up_lines() -> None:
    first = re.search(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    assert first is not None
    lines = first.group(1).splitlines()
    assert len(lines) == 2
    assert lines[0].endswith("slurrycalc run examples/reading-room.toml --try")
    assert lines[1].endswith("pytest -n auto")


def test_the_python_example_runs() -> None:
    (code,) = re.findall(r"^```python\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True)
