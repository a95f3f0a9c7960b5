"""What README shows is what the commands print, and what it imports works."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHOWN = re.compile(r"^```console\n\$ slurrycalc (.*?)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
BLOCKS = SHOWN.findall(README)
PYTHON = re.findall(r"^```python\n(.*?)^```\n\n```text\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
TRY = "run examples/reading-room.toml --try"


@dataclass(frozen=True)
class Tour:
    """What each line of the tour printed to a newcomer, who had nothing on record."""

    printed: list[str] = field(repr=False)
    before: str = field(repr=False)
    """What the first set-up line prints, before the tour and after it."""
    after: str = field(repr=False)
    own: Path
    """The newcomer's own logbook, if there is one by now."""
    folder: Path


@pytest.fixture(scope="module")
def tour(tmp_path_factory: pytest.TempPathFactory) -> Tour:
    """All of the tour, once, in its order and in a folder that holds what a clone holds."""
    folder = tmp_path_factory.mktemp("tour")
    shutil.copytree(ROOT / "examples", folder / "examples")
    own = folder / "own" / "logbook.sqlite"
    env = {**os.environ, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8", "SLURRYCALC_LOGBOOK": str(own)}

    def printed(words: str) -> str:
        command = [sys.executable, "-m", "slurrycalc", *shlex.split(words)]
        run = subprocess.run(command, cwd=folder, env=env, capture_output=True, encoding="utf-8", check=False)
        return (run.stdout + run.stderr).strip("\n") + "\n"

    before = printed(TRY)
    return Tour([printed(words) for words, _ in BLOCKS], before, printed(TRY), own, folder)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(len(BLOCKS)), ids=[words[:40] for words, _ in BLOCKS])
def test_the_tour_is_real_output(block: int, tour: Tour) -> None:
    """Three dots on a line stand for what was left out."""
    _, shown = BLOCKS[block]
    stretches = (re.escape(stretch) for stretch in re.split(r"^\.\.\.\n", shown, flags=re.MULTILINE))
    printed = tour.printed[block]
    assert re.fullmatch(".*".join(stretches), printed, re.DOTALL), printed


@pytest.mark.slow
def test_the_tour_keeps_out_of_the_reader_s_own_logbook(tour: Tour) -> None:
    assert not tour.own.exists()
    assert tour.after == tour.before
    assert "Meter desk" in tour.before


def test_the_tour_shows_the_main_commands() -> None:
    main = {"mix", "run", "probe", "read", "ratio", "calibrate", "history", "undo"}
    months = {"trend", "exchange", "upkeep", "due", "agree"}
    assert main | months <= {words.split()[0] for words, _ in BLOCKS}


def test_the_first_block_is_the_two_set_up_lines() -> None:
    first = re.search(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    assert first is not None
    lines = first.group(1).splitlines()
    assert len(lines) == 2
    assert lines[0].endswith("slurrycalc run examples/reading-room.toml --try")
    assert lines[1].endswith("pytest -n auto")


@pytest.mark.slow
def test_the_python_example_prints_what_it_shows(tour: Tour) -> None:
    """It goes on with the logbook of the tour's months."""
    ((code, shown),) = PYTHON
    run = [sys.executable, "-c", code]
    assert subprocess.run(run, cwd=tour.folder, check=True, capture_output=True, text=True).stdout == shown
