"""Damage of any kind: every cut is noticed when the file is opened, and nothing is written into it.

``TORTURE=full`` flips 400 bits rather than 40, and cuts by every 512 bytes rather than by every 16 kB.
"""

from __future__ import annotations

import io
import os
import random
import shutil
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from slurrycalc.cli import main
from slurrycalc.logbook.copies import folder_of
from slurrycalc.logbook.faults import Damaged, LogbookFault
from slurrycalc.logbook.store import open_logbook
from tests.logbook.room import at, calibrate, furnish, read

PAGE = 4096
FULL = os.environ.get("TORTURE") == "full"
EVENT = ("event", "atlas", "water", "--amount", "500 mL")


def fill(path: Path, days: int = 3) -> bytes:
    with open_logbook(path) as book:
        kit = furnish(book)
        for day in range(days):
            _, calibration = calibrate(book, kit, at(day))
            read(book, kit, at(day), calibration, kit.atlas)
    return path.read_bytes()


@pytest.mark.parametrize("writes", [False, True], ids=["read", "write"])
@pytest.mark.parametrize("by", [1, 100, PAGE - 1, PAGE, PAGE + 1, -1, -PAGE])
def test_a_file_that_is_shorter_or_longer_than_its_header_says_is_damaged(
    path: Path, by: int, writes: bool
) -> None:
    whole = fill(path)
    damaged = whole[:-by] if by > 0 else whole + bytes(-by)
    path.write_bytes(damaged)
    with pytest.raises(Damaged):
        open_logbook(path, writes=writes)
    assert path.read_bytes() == damaged


@pytest.mark.parametrize("writes", [False, True], ids=["read", "write"])
def test_a_bit_in_the_description_of_a_table_is_damage_also_where_it_makes_no_text(
    path: Path, writes: bool
) -> None:
    damaged = fill(path).replace(b"CREATE TRIGGER entry_no_update", b"CREATE TR\xc9GGER entry_no_update")
    path.write_bytes(damaged)
    with pytest.raises(Damaged, match="is damaged"):
        open_logbook(path, writes=writes)
    assert path.read_bytes() == damaged


def test_a_pipe_or_a_device_is_no_logbook(tmp_path: Path) -> None:
    if os.name != "posix":
        pytest.skip("pipes with a name are those of POSIX")
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/null")):
        for writes in (False, True):
            with pytest.raises(LogbookFault, match="is a device or a pipe, not a file"):
                open_logbook(path, writes=writes)


def run(*words: str) -> tuple[int, str, str]:
    """Run a line; give its exit status and what it printed on either channel."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        status = main(list(words))
    return status, out.getvalue(), err.getvalue()


def seen(path: Path, folder: Path) -> tuple[str, bytes] | str:
    """Give all that a keeper can see of a record; or the sentence by which it is refused."""
    shutil.rmtree(folder, ignore_errors=True)
    status, page, refused = run("history", "--logbook", str(path))
    if status == 0:
        status, _, refused = run("export", str(folder), "--logbook", str(path))
    if status == 0:
        return page, b"".join(each.read_bytes() for each in sorted(folder.glob("*.csv")))
    assert status == 3, refused
    assert refused.count("\n") == 1
    assert "Traceback" not in refused
    return refused


def months(path: Path) -> bytes:
    """Give a record of months, in a file of some 200 kB."""
    assert run("import", "examples/eighteen-months", "--logbook", str(path))[0] == 0
    return path.read_bytes()


@pytest.mark.slow
@pytest.mark.timeout(7200 if FULL else 900)
def test_a_bit_that_flips_is_harmless_or_refused_and_with_a_copy_no_figure_ever_changes(
    tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    path, out = tmp_path / "bench.sqlite", tmp_path / "out"
    whole = months(path)
    assert run(*EVENT, "--logbook", str(path))[0] == 0
    copies = folder_of(path)
    (copy,) = copies.iterdir()
    path.write_bytes(whole)
    right = seen(path, out)
    assert not isinstance(right, str)
    draw = random.Random(20240504)
    found: Counter[str] = Counter()
    for _ in range(400 if FULL else 40):
        bit = draw.randrange(8 * len(whole))
        flipped = bytearray(whole)
        flipped[bit // 8] ^= 1 << bit % 8
        for beside in ("with a copy", "alone"):
            if beside == "alone":
                copies.rename(tmp_path / "away")
            path.write_bytes(flipped)
            saw = seen(path, out)
            assert path.read_bytes() == flipped
            kind = "refused" if isinstance(saw, str) else "harmless" if saw == right else "unseen"
            found[f"{beside}: {kind}"] += 1
            if kind == "refused":
                # What cannot be read is not written into either.
                assert run(*EVENT, "--logbook", str(path))[0] == 3
                assert path.read_bytes() == flipped
            assert kind != "unseen" or beside == "alone", bit
            if beside == "with a copy" and isinstance(saw, str) and "slurrycalc restore" in saw:
                assert f"the newest good copy is of {copy.name[:10]}, with 52 entries" in saw
                found["named the copy"] += 1
        (tmp_path / "away").rename(copies)
    record_property("flips", dict(found))
    assert found["with a copy: refused"] > 0
    assert found["with a copy: harmless"] > 0


@pytest.mark.slow
def test_every_cut_is_refused_and_nothing_is_written_into_what_is_left(tmp_path: Path) -> None:
    path, out = tmp_path / "bench.sqlite", tmp_path / "out"
    whole = months(path)
    for length in range(0, len(whole), 512 if FULL else 4 * PAGE - 512):
        left = whole[:length]
        path.write_bytes(left)
        said = seen(path, out)
        assert isinstance(said, str), length
        assert run(*EVENT, "--logbook", str(path))[0] == 3
        assert path.read_bytes() == left
