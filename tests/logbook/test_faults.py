"""Kills, several writers, a full disk: what was reported as saved is there, and nothing is half there.

``TORTURE=full`` kills 1,000 times at random rather than 50, and lets four writers record 10,000 steps rather
than 200.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from slurrycalc.logbook.store import open_logbook

if os.name != "posix":
    pytest.skip("kills and limits are those of POSIX", allow_module_level=True)

FULL = os.environ.get("TORTURE") == "full"
LOGBOOKS = 20 if FULL else 1
"""In each of which a program is killed 50 times."""
EACH = 2500 if FULL else 50
"""Steps of each of four writers."""
HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def recorder(*words: str) -> dict[str, Any]:
    """Run the recorder in a process of its own."""
    env = os.environ | {"PYTHONPATH": os.pathsep.join((str(ROOT), str(HERE)))}
    done = subprocess.run(
        [sys.executable, str(HERE / "recorder.py"), *words],
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def can_trace() -> bool:
    env = os.environ | {"PYTHONPATH": str(HERE)}
    asked = [sys.executable, "-c", "import sys, killing; sys.exit(not killing.can_trace())"]
    return subprocess.run(asked, env=env, check=False).returncode == 0


@pytest.mark.slow
def test_a_kill_at_any_write_or_sync_loses_nothing_and_leaves_nothing_half_there(tmp_path: Path) -> None:
    if not can_trace():
        pytest.skip("this machine lets no program be traced")
    found = recorder("aimed", str(tmp_path), "3", "80")
    assert found["wrong"] == {}
    assert found["kills"] >= 60
    # Most of them fell after something had been reported as saved.
    assert found["between"] >= 30


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20240504, 20240504 + LOGBOOKS))
def test_kills_at_random_moments_lose_nothing(tmp_path: Path, seed: int) -> None:
    found = recorder("random", str(tmp_path), "50", str(seed))
    assert found["wrong"] == {}
    assert found["kills"] == 50
    # On a busy machine many a kill comes before the first step: 36 was the fewest of 20 logbooks.
    assert found["saved"] >= 20


@pytest.mark.slow
@pytest.mark.timeout(7200 if FULL else 900)
def test_four_writers_lose_nothing_are_never_refused_and_keep_their_order(tmp_path: Path) -> None:
    path = tmp_path / "bench.sqlite"
    found = recorder("writers", str(path), "4", str(EACH))
    assert found["statuses"] == [0, 0, 0, 0]
    assert [len(saved) for saved in found["saved"]] == [EACH] * 4
    with open_logbook(path, writes=False) as book:
        there = book.rows("SELECT uid, keeper FROM entry WHERE kind = 'run' ORDER BY id")
        assert book.rows("PRAGMA integrity_check") == [("ok",)]
        assert book.rows("SELECT count(*) FROM reading") == [(16 * EACH,)]
    assert len(there) == 4 * EACH
    for number, saved in enumerate(found["saved"]):
        assert [uid for uid, keeper in there if keeper == f"writer {number}"] == saved


@pytest.mark.slow
def test_a_full_disk_refuses_the_step_with_a_sentence_and_the_logbook_opens_afterwards(
    tmp_path: Path,
) -> None:
    found = recorder("full", str(tmp_path), "1024")
    assert found["wrong"] == {}
    assert found["past"] > 0
    assert len(found["refused"]) == 40
    for sentences in found["refused"].values():
        (sentence,) = sentences
        assert sentence.startswith("nothing was recorded in")
        assert "make room and try again" in sentence
