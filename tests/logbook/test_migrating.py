"""An older logbook that is killed or refused on its way up: nothing stays beside it but a true copy.

``TORTURE=full`` kills it before each of its 200 writes rather than every eighth, and before each sync.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from slurrycalc.logbook import schema
from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.migrate import form_of
from slurrycalc.logbook.store import open_logbook
from tests.disks import fill, remount, small_disk
from tests.logbook import killing

if os.name != "posix":
    pytest.skip("kills and disks are those of POSIX", allow_module_level=True)

OLD = Path(__file__).with_name("form_1.sql")
EACH = 1 if os.environ.get("TORTURE") == "full" else 8
FAST = Path("/dev/shm")
"""Where a write costs no wait for a disk; what a killed program wrote is there all the same."""
KEPT = [table.name for table in TABLES if table.since == 1]
NOBODY = 65534
Rows = dict[str, list[tuple[object, ...]]]


def of_form_1(path: Path) -> Path:
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.executescript(OLD.read_text(encoding="utf-8"))
    return path


def rows(path: Path) -> tuple[int, Rows]:
    """Give the form of a file, and all that is in it."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        (form,) = db.execute("PRAGMA user_version").fetchone()
        return form, {name: db.execute(f"SELECT * FROM {name}").fetchall() for name in KEPT}


def bring_up(path: Path) -> None:
    with open_logbook(path):
        pass


def held(path: Path, kept: Rows) -> None:
    """See that it opens and is whole, and that nothing lies beside it but the copy of what it was."""
    with open_logbook(path) as book:
        assert form_of(book) == schema.VERSION
        assert book.rows("PRAGMA foreign_key_check") == []
    assert rows(path) == (schema.VERSION, kept)
    copy = path.with_name(f"{path.name}.form-1")
    assert sorted(path.parent.iterdir()) == [path, copy]
    assert rows(copy) == (1, kept)


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(dir=FAST if FAST.is_dir() else tmp_path) as name:
        yield Path(name)


@pytest.mark.slow
def test_a_kill_at_any_write_of_its_way_up_leaves_a_logbook_that_comes_up_whole(room: Path) -> None:
    if not killing.can_trace():
        pytest.skip("this machine lets no program be traced")
    begun = of_form_1(room / "begun.sqlite")
    _, kept = rows(begun)

    def folder(name: str) -> Path:
        (room / name).mkdir()
        return Path(shutil.copy(begun, room / name / "bench.sqlite"))

    whole = folder("whole")
    changes = killing.traced(lambda: bring_up(whole))
    held(whole, kept)
    assert {"pwrite", "fsync", "fdatasync", "link", "unlink"} <= set(changes)
    writes = [n for n, change in enumerate(changes, 1) if change == "pwrite"]
    rest = {*range(1, len(changes) + 1)} - {*writes}
    for n in sorted(rest | {*writes[::EACH]}):
        path = folder(str(n))
        done = killing.traced(lambda path=path: bring_up(path), kill_at=n)  # type: ignore[misc]
        assert done == changes[:n]
        if n % 2:
            # Somebody who only reads it sees what was there, and puts nothing beside.
            with open_logbook(path, writes=False) as book:
                assert {name: book.rows(f"SELECT * FROM {name}") for name in KEPT} == kept
        held(path, kept)
        shutil.rmtree(path.parent)


Place = tuple[Path, Callable[[], object]]
"""A logbook that cannot come up where it lies, and what makes it possible."""


@contextlib.contextmanager
def full_disk(tmp_path: Path) -> Iterator[Place]:
    with small_disk(tmp_path / "disk", 1 << 20) as disk:
        path = of_form_1(disk / "bench.sqlite")
        fill(disk)
        yield path, (disk / "full").unlink


@contextlib.contextmanager
def disk_with_room_for_the_copy(tmp_path: Path) -> Iterator[Place]:
    with small_disk(tmp_path / "disk", 1 << 20) as disk:
        path = of_form_1(disk / "bench.sqlite")
        fill(disk, leaving=path.stat().st_size + 8192)
        yield path, (disk / "full").unlink


@contextlib.contextmanager
def read_only_disk(tmp_path: Path) -> Iterator[Place]:
    with small_disk(tmp_path / "disk", 1 << 20) as disk:
        path = of_form_1(disk / "bench.sqlite")
        remount(disk, "ro")
        yield path, lambda: remount(disk, "rw")


@contextlib.contextmanager
def read_only_folder(tmp_path: Path) -> Iterator[Place]:
    """One's own file in a folder where one may make none."""
    del tmp_path  # which nobody else may enter
    folder = Path(tempfile.mkdtemp())
    try:
        path = of_form_1(folder / "bench.sqlite")
        if os.geteuid() == 0:
            os.chown(path, NOBODY, NOBODY)
        folder.chmod(0o555)
        yield path, lambda: folder.chmod(0o755)
    finally:
        folder.chmod(0o755)
        shutil.rmtree(folder)


def tried(path: Path) -> str:
    """Open it for writing as its owner does, and give the sentence that this ends with."""
    receiver, sender = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setuid(path.stat().st_uid)
            bring_up(path)
        except LogbookFault as fault:
            os.write(sender, str(fault).encode())
        finally:
            os._exit(0)
    os.close(sender)
    with os.fdopen(receiver) as said:
        sentence = said.read()
    os.waitpid(child, 0)
    return sentence


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (full_disk, "No space left on device|the disk is full|its disk is full"),
        (disk_with_room_for_the_copy, "the disk is full|its disk is full"),
        (read_only_disk, "read-only|Read-only"),
        (read_only_folder, "cannot be"),
    ],
    ids=lambda each: getattr(each, "__name__", None),
)
def test_what_is_refused_on_its_way_up_is_as_it_was_and_comes_up_once_there_is_room(
    tmp_path: Path, place: Callable[[Path], contextlib.AbstractContextManager[Place]], says: str
) -> None:
    with place(tmp_path) as (path, relieve):
        before, there = path.read_bytes(), sorted(path.parent.iterdir())
        _, kept = rows(path)
        for _ in range(2):
            assert re.search(says, sentence := tried(path)), sentence
            assert path.read_bytes() == before
            assert sorted(path.parent.iterdir()) == there
        relieve()
        held(path, kept)
