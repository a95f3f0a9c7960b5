"""The real program killed while it records: what it reported as saved is there, and nothing is half there.

``TORTURE=full`` kills 50 times by each way, rather than once at each write and sync, and 10 times or somewhat
more at random.
"""

from __future__ import annotations

import importlib.util
import os
import random
import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from slurrycalc.cli import main
from slurrycalc.logbook.store import open_logbook

if os.name != "posix":
    pytest.skip("kills are those of POSIX", allow_module_level=True)

_found = importlib.util.spec_from_file_location(
    "killing", Path(__file__).parents[1] / "logbook" / "killing.py"
)
assert _found is not None
assert _found.loader is not None
killing = importlib.util.module_from_spec(_found)
_found.loader.exec_module(killing)

pytestmark = pytest.mark.slow
FULL = os.environ.get("TORTURE") == "full"
FEWEST, MOST = 50 if FULL else 10, 50
"""Kills at any moment: as many as it takes to have some before the step is saved and some after it."""
PROGRAM = [sys.executable, "-m", "slurrycalc"]
SET_UP = (
    ("enclosure", "atlas", "--new"),
    ("calibrate", "7.00=7.04@21C", "4.01=4.06@21C", "--meter", "desk", "--on", "2024-04-06", "--new"),
)
LINE = ("read", "5.97@21C", "6.02@21C", "--meter", "desk", "--enclosure", "atlas", "--on", "2024-04-06")
WHOLE = Counter(entry=1, slurry=2, reading=2, shown=1)
"""What one reading of two slurries adds."""


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with a case and a calibration."""
    path = tmp_path_factory.mktemp("kills") / "begun.sqlite"
    for words in SET_UP:
        subprocess.run([*PROGRAM, *words, "--logbook", str(path)], check=True, capture_output=True)
    return path


def counts(path: Path) -> Counter[str]:
    """Count rows, after an integrity check."""
    with open_logbook(path) as book:
        assert book.rows("PRAGMA integrity_check") == [("ok",)]
        assert book.rows("PRAGMA foreign_key_check") == []
        return Counter({name: book.rows(f"SELECT count(*) FROM {name}")[0][0] for name in WHOLE})


def held(path: Path, before: Counter[str], screen: str) -> bool:
    """See that a step is there whole or not at all, and there if it was reported; tell which."""
    added = counts(path)
    added.subtract(before)
    there = +added
    assert there in (Counter(), WHOLE), there
    assert there or not re.search(r"Saved as \d", screen)
    return bool(there)


def test_a_kill_at_any_of_its_writes_and_syncs_loses_nothing_reported(tmp_path: Path, begun: Path) -> None:
    if not killing.can_trace():
        pytest.skip("this machine lets no program be traced")
    before = counts(begun)
    path, screen = tmp_path / "bench.sqlite", tmp_path / "screen"

    def record() -> None:
        # The program itself, forked rather than started: it has its imports, and so fewer calls to stop at.
        with screen.open("w") as sys.stdout:
            if main([*LINE, "--logbook", str(path)]):
                raise SystemExit(1)

    shutil.copy(begun, tmp_path / "first.sqlite")
    assert main([*LINE, "--logbook", str(tmp_path / "first.sqlite")]) == 0
    shutil.copy(begun, path)
    changes = len(killing.traced(record))
    assert held(path, before, screen.read_text())
    assert changes >= 5
    for kill in range(50 if FULL else changes):
        shutil.copy(begun, path)
        killed_at = 1 + kill % changes
        assert len(killing.traced(record, killed_at)) == killed_at
        held(path, before, screen.read_text())
        path.unlink()


def test_kills_at_any_moment_lose_nothing_that_was_reported(tmp_path: Path, begun: Path) -> None:
    draw = random.Random(20240406)
    before = counts(begun)
    path = tmp_path / "bench.sqlite"
    shutil.copy(begun, path)
    start = time.monotonic()
    subprocess.run([*PROGRAM, *LINE, "--logbook", str(path)], check=True, capture_output=True)
    takes = time.monotonic() - start
    whole = 0
    for kill in range(1, MOST + 1):
        shutil.copy(begun, path)
        with subprocess.Popen([*PROGRAM, *LINE, "--logbook", str(path)], stdout=subprocess.PIPE) as child:
            time.sleep(takes * draw.uniform(0.7, 1.1))
            child.kill()
            assert child.stdout is not None
            screen = child.stdout.read().decode()
        there = held(path, before, screen)
        whole += there
        # So that kills stay near the moment of saving, however fast the machine is just now.
        takes *= 0.93 if there else 1.07
        path.unlink()
        if kill >= FEWEST and 0 < whole < kill:
            break
    assert 0 < whole < kill
