"""An empty logbook on a disk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from slurrycalc.logbook.store import Store, open_logbook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the logbook lies."""
    return tmp_path / "bench.sqlite"


@pytest.fixture
def book(path: Path) -> Iterator[Store]:
    """The logbook, open for writing."""
    with open_logbook(path) as opened:
        yield opened

# Programs that tests run, on systems that have what they need.
collect_ignore = ["recorder.py", "killing.py"]
