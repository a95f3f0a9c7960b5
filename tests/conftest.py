"""What every test shares."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

# No test may read or write the record of whoever runs it.
os.environ["SLURRYCALC_LOGBOOK"] = str(Path(tempfile.gettempdir()) / f"none-{os.getpid()}" / "bench.sqlite")

# A busy machine makes a law no less true: examples have no deadline. They are the same in every run, so
# that a red main tells of a change and not of a draw; EXAMPLES=new draws others, to search.
settings.register_profile("unhurried", deadline=None, derandomize=os.environ.get("EXAMPLES") != "new")
settings.load_profile("unhurried")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the files that hold slow tests, so that several workers end together on the small ones."""
    slow = {item.path for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: item.path not in slow)
