"""A disk that is full: what was to be written is there whole or not at all, and the sentence says why."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.disks import fill, small_disk

SIZE = 256 * 1024
"""Of the disk. [bytes]"""
LINES = [
    ("sheet", "{}/new.toml"),
    ("export", "{}/new.zip"),
    ("export", "{}/new"),
    ("due", "--ics", "{}/new.ics"),
    ("enclosure", "annex", "--new", "--logbook", "{}/new.sqlite"),
]


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Path]:
    """A disk with a kilobyte left or so."""
    with small_disk(tmp_path / "disk", SIZE) as disk:
        yield disk


@pytest.mark.parametrize("line", LINES, ids=lambda line: " ".join(line[:2]))
def test_nothing_half_written_stays_on_a_full_disk(run, small, line):
    assert run("enclosure", "atlas", "--new").status == 0
    fill(small)
    ran = run(*(word.format(small) for word in line))
    assert ran.status in (2, 3), ran.out
    assert "No space left on device" in ran.err or "the disk is full" in ran.err, ran.err
    assert len(ran.err.splitlines()) == 1
    assert [path.name for path in small.iterdir()] == ["full"]


def test_a_step_on_a_full_disk_leaves_the_logbook_as_it_was(run, small):
    logbook = small / "bench.sqlite"
    assert run("enclosure", "atlas", "--new", "--logbook", str(logbook)).status == 0
    before = logbook.read_bytes()
    fill(small)
    ran = run("event", "atlas", "leaf-litter", "--logbook", str(logbook))
    assert ran.status == 3
    assert "full" in ran.err
    assert logbook.read_bytes() == before
    assert sorted(path.name for path in small.iterdir()) == ["bench.sqlite", "full"]
    (small / "full").unlink()
    assert run("event", "atlas", "leaf-litter", "--logbook", str(logbook)).status == 0
