"""The file: it only grows, opens for readers, comes up from older forms, and says what is wrong with it."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from slurrycalc.logbook import schema
from slurrycalc.logbook.faults import LogbookFault, NoLogbook
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.migrate import backup, form_of, in_memory_copy, migrate
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, open_logbook
from tests.logbook.room import at, calibrate, furnish, read, sundries

ROOT = Path(__file__).parents[2]


def fill(path: Path, days: int = 1) -> None:
    with open_logbook(path) as book:
        kit = furnish(book)
        sundries(book, kit.stairs, at(0))
        for day in range(days):
            _, calibration = calibrate(book, kit, at(day))
            read(book, kit, at(day), calibration, kit.atlas, (5.97, 6.02), (6.6, 6.5))
            step = Step("event", When(at(day)))
            step.mix(step.event(kit.atlas, "water", amount=500.0, unit="mL"), kit.atlas, None, None)
            step.mark("done", True)
            step.shown("event", "{}")
            record(book, step, at(day))
            undone = Step("undo", When(at(day)))
            undone.void(step.uid)
            record(book, undone, at(day))
        with book.transaction():
            book.add("INSERT INTO arrival VALUES (2, 1, 1)", [()])


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_no_row_can_be_changed_deleted_or_replaced(path: Path, table: object) -> None:
    fill(path)
    # As somebody with another program would try it.
    with contextlib.closing(sqlite3.connect(path)) as db:
        name, names = table.name, table.names  # type: ignore[attr-defined]
        row = db.execute(f"SELECT * FROM {name}").fetchone()
        assert row is not None
        marks = ", ".join("?" * len(row))
        tries = [
            (f"UPDATE {name} SET {names[-1]} = {names[-1]}", ()),
            (f"DELETE FROM {name}", ()),
            (f"INSERT OR REPLACE INTO {name} VALUES ({marks})", row),
            (f"REPLACE INTO {name} VALUES ({marks})", row),
        ]
        if "uid" in names:
            tries.append((f"INSERT OR REPLACE INTO {name} VALUES ({marks})", (999, *row[1:])))
        for sql, values in tries:
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                db.execute(sql, values)
        assert db.execute(f"SELECT * FROM {name}").fetchone() == row


def test_numbers_that_nobody_read_are_refused_by_the_file_itself(path: Path) -> None:
    fill(path)
    with contextlib.closing(sqlite3.connect(path)) as db:
        (row,) = db.execute("SELECT * FROM reading LIMIT 1").fetchall()
        for wrong in ("5.4 or so", float("inf"), None, b"5"):
            changed = (row[0], 77, *row[2:6], wrong, *row[7:])
            with pytest.raises(sqlite3.IntegrityError):
                db.execute(f"INSERT INTO reading VALUES ({', '.join('?' * len(row))})", changed)


def test_the_file_is_marked_and_kept_as_designed(path: Path) -> None:
    with open_logbook(path) as book:
        assert book.rows("PRAGMA journal_mode") == [("delete",)]
        assert book.rows("PRAGMA synchronous") == [(2,)]
        assert book.rows("PRAGMA foreign_keys") == [(1,)]
        assert book.rows("PRAGMA application_id") == [(schema.APPLICATION_ID,)]
        assert book.rows("PRAGMA user_version") == [(schema.VERSION,)]
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_a_copy_taken_while_it_is_open_is_a_logbook(path: Path, tmp_path: Path) -> None:
    fill(path, 3)
    with open_logbook(path):
        copy = tmp_path / "copy.sqlite"
        copy.write_bytes(path.read_bytes())
    with open_logbook(copy, writes=False) as book:
        assert len(Recall(book).readings()) == 6


def test_reading_changes_nothing_on_the_disk(path: Path) -> None:
    fill(path)
    before = (path.read_bytes(), path.stat().st_mtime_ns, sorted(path.parent.iterdir()))
    with open_logbook(path, writes=False) as book:
        assert len(Recall(book).readings()) == 2
        with pytest.raises(LogbookFault, match="opened for reading only; nothing was recorded"):
            furnish(book)
    assert (path.read_bytes(), path.stat().st_mtime_ns, sorted(path.parent.iterdir())) == before


def test_there_is_no_logbook_before_something_is_recorded(path: Path) -> None:
    with pytest.raises(NoLogbook, match="there is no logbook at"):
        open_logbook(path, writes=False)
    assert not path.exists()


def test_a_name_with_odd_letters_is_a_file_like_any_other(tmp_path: Path) -> None:
    path = tmp_path / "my #1 50% log?book.sqlite"
    fill(path)
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def newer(path: Path) -> None:
    fill(path)
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")


def foreign(path: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE cards (name TEXT)")


def cut_short(path: Path) -> None:
    fill(path, 10)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def cut_in_the_head(path: Path) -> None:
    fill(path)
    path.write_bytes(path.read_bytes()[:50])


def scribbled(path: Path) -> None:
    fill(path, 10)
    data = bytearray(path.read_bytes())
    data[4096 : len(data) - 4096] = os.urandom(len(data) - 8192)
    path.write_bytes(data)


FAULTS: list[tuple[str, Callable[[Path], object], str]] = [
    ("folder", lambda path: path.mkdir(), "is a folder"),
    (
        "binary",
        lambda path: path.write_bytes(bytes(range(256)) * 20),
        "is no logbook, but a file of another kind",
    ),
    ("text", lambda path: path.write_text("jar,enclosure\n"), "is no logbook, but a file of another kind"),
    ("empty", lambda path: path.write_bytes(b""), "is empty, as if cut short"),
    ("other", foreign, "is a database of another program"),
    ("newer", newer, "was written by a newer slurrycalc (form 6, and this one knows 5); update slurrycalc"),
    ("cut", cut_short, "is damaged or cut short"),
    ("head", cut_in_the_head, "is cut short"),
    ("scribbled", scribbled, "is damaged or cut short"),
]


@pytest.mark.parametrize("writes", [False, True], ids=["read", "write"])
@pytest.mark.parametrize(("what", "make", "says"), FAULTS, ids=[name for name, _, _ in FAULTS])
def test_a_file_that_cannot_be_used_gets_one_sentence_and_is_left_alone(
    path: Path, what: str, make: Callable[[Path], object], says: str, writes: bool
) -> None:
    make(path)
    before = None if path.is_dir() else path.read_bytes()
    there = sorted(path.parent.iterdir())
    with pytest.raises(LogbookFault) as fault, open_logbook(path, writes=writes) as book:
        Recall(book).readings()
    sentence = str(fault.value)
    assert says in sentence
    assert sentence == fault.value.sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert (None if path.is_dir() else path.read_bytes()) == before
    assert sorted(path.parent.iterdir()) == there


def test_a_missing_folder_is_made_and_an_impossible_one_is_a_fault(tmp_path: Path) -> None:
    fill(tmp_path / "new" / "folder" / "bench.sqlite")
    (tmp_path / "file").write_text("x")
    with pytest.raises(LogbookFault, match="cannot be used"):
        open_logbook(tmp_path / "file" / "bench.sqlite")


def test_a_logbook_that_another_program_holds_is_a_fault_after_a_while(path: Path) -> None:
    fill(path)
    before = path.read_bytes()
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with open_logbook(path, wait=0.1) as book:
            assert len(Recall(book).readings()) == 2
            with pytest.raises(
                LogbookFault, match=r"another program has been writing in .* for more than 0.1 s"
            ):
                record(book, Step("event", When(at(0))), at(0))
        other.execute("ROLLBACK")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(LogbookFault, match="another program has been writing"):
            open_logbook(path, writes=False, wait=0.1)
    assert path.read_bytes() == before


def test_a_writer_waits_for_another_one(path: Path) -> None:
    fill(path)
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")

    def finish() -> None:
        time.sleep(0.3)
        other.execute("COMMIT")

    thread = threading.Thread(target=finish)
    thread.start()
    with open_logbook(path) as book:
        record(book, Step("event", When(at(0))), at(0))
    thread.join()
    other.close()


AS_NOBODY = """
import os, sys
from pathlib import Path
from room import at
import slurrycalc.logbook.header
import slurrycalc.logbook.migrate
from slurrycalc.logbook.faults import LogbookFault
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
# Whoever is not bound by permissions becomes somebody who is, once all is imported.
if os.getuid() == 0:
    os.setgid(65534), os.setuid(65534)
path = Path(sys.argv[1])
try:
    with open_logbook(path, writes=False) as book:
        print(book.rows("SELECT count(*) FROM reading")[0][0])
    with open_logbook(path) as book:
        record(book, Step("event", When(at(0))), at(0))
except LogbookFault as fault:
    print(fault)
"""


@contextlib.contextmanager
def open_folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
        folder.chmod(0o755)


@pytest.mark.skipif(os.name != "posix", reason="permissions are those of POSIX")
@pytest.mark.parametrize(
    ("of_file", "of_folder", "says"),
    [
        (0o444, 0o555, "cannot be written: the file or its folder is read-only"),
        (0o666, 0o555, "cannot be"),
        (0o444, 0o777, "cannot be written: the file or its folder is read-only"),
        (0o000, 0o777, "cannot be used"),
    ],
)
def test_a_read_only_logbook_is_read_and_refuses_to_be_written(
    of_file: int, of_folder: int, says: str
) -> None:
    with open_folder() as folder:
        path = folder / "bench.sqlite"
        fill(path)
        before = path.read_bytes()
        path.chmod(of_file)
        folder.chmod(of_folder)
        roads = os.pathsep.join((str(ROOT), str(Path(__file__).parent)))
        done = subprocess.run(
            [sys.executable, "-c", AS_NOBODY, str(path)],
            env=os.environ | {"PYTHONPATH": roads},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        *read_first, sentence = done.stdout.splitlines()
        assert read_first == ([] if of_file == 0 else ["2"])
        assert says in sentence
        folder.chmod(0o755)
        path.chmod(0o644)
        assert path.read_bytes() == before
        assert [each.name for each in folder.iterdir()] == [path.name]


def test_a_reader_brings_back_what_a_killed_writer_left(path: Path) -> None:
    fill(path)
    with open_logbook(path, writes=False) as book:
        before = book.rows("SELECT count(*) FROM entry")
    program = (
        "import os, sqlite3, sys\n"
        "db = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "db.execute('PRAGMA cache_size = 2')\n"
        "db.execute('BEGIN IMMEDIATE')\n"
        "for n in range(3000):\n"
        "    db.execute('INSERT INTO mark VALUES (1, ?, ?, ?)', (n + 1, 'x', '\"' + 'y' * 90 + '\"'))\n"
        "os.kill(os.getpid(), 9)\n"
    )
    subprocess.run([sys.executable, "-c", program, str(path)], check=False)
    assert path.with_name(f"{path.name}-journal").stat().st_size > 0
    with open_logbook(path, writes=False) as book:
        assert book.rows("SELECT count(*) FROM entry") == before
        assert book.rows("SELECT count(*) FROM mark") == [(1,)]
        assert book.rows("PRAGMA integrity_check") == [("ok",)]


def test_a_step_that_fails_half_way_leaves_nothing(book: Store) -> None:
    kit = furnish(book)
    step = Step("read", When(at(0)))
    step.slurry(kit.atlas)
    step.rows["slurry"].append((step.uid, 2, kit.atlas, "A2", None, -2.0, "volume", "distilled water", None))
    with pytest.raises(sqlite3.IntegrityError):
        record(book, step, at(0))
    assert book.rows("SELECT count(*) FROM entry") == [(1,)]
    assert book.rows("SELECT count(*) FROM slurry") == [(0,)]
    record(book, Step("event", When(at(0))), at(0))


def with_weather(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE weather (entry INTEGER REFERENCES entry (id), text TEXT)")
    db.execute("ALTER TABLE slurry ADD COLUMN floats TEXT")


def broken(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE weather (entry INTEGER REFERENCES entry (id), text TEXT)")
    db.execute("INSERT INTO weather VALUES (12345, 'rain')")


def failing(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE weather (text TEXT)")
    raise sqlite3.OperationalError("no such thing")


def test_a_migration_puts_a_copy_beside_and_keeps_every_row(path: Path) -> None:
    fill(path)
    before = path.read_bytes()
    with open_logbook(path) as book:
        rows = {table.name: book.rows(f"SELECT * FROM {table.name}") for table in TABLES}
        migrate(book, {schema.VERSION: with_weather}, schema.VERSION + 1)
        assert form_of(book) == schema.VERSION + 1
        assert book.rows("SELECT * FROM weather") == []
        assert book.rows("PRAGMA foreign_keys") == [(1,)]
        for name, kept in rows.items():
            now = book.rows(f"SELECT * FROM {name}")
            assert [row[: len(kept[0])] for row in now] == kept
    copy = path.with_name(f"{path.name}.form-{schema.VERSION}")
    with open_logbook(copy, writes=False) as old:
        assert {table.name: old.rows(f"SELECT * FROM {table.name}") for table in TABLES} == rows
    with pytest.raises(LogbookFault, match="newer slurrycalc"):
        open_logbook(path)
    assert path.read_bytes() != before


@pytest.mark.parametrize("step", [broken, failing])
def test_a_migration_that_fails_leaves_the_logbook_as_it_was(
    path: Path, step: Callable[[sqlite3.Connection], None]
) -> None:
    fill(path)
    with open_logbook(path) as book:
        rows = {table.name: book.rows(f"SELECT * FROM {table.name}") for table in TABLES}
        with pytest.raises((LogbookFault, sqlite3.OperationalError)):
            migrate(book, {schema.VERSION: step}, schema.VERSION + 1)
    with open_logbook(path) as book:
        assert {table.name: book.rows(f"SELECT * FROM {table.name}") for table in TABLES} == rows
        assert book.rows("SELECT count(*) FROM sqlite_master WHERE name = 'weather'") == [(0,)]


def test_an_older_logbook_is_read_without_touching_it(path: Path) -> None:
    fill(path)
    before = path.read_bytes()
    with in_memory_copy(
        open_logbook(path, writes=False), {schema.VERSION: with_weather}, schema.VERSION + 1
    ) as book:
        assert book.rows("SELECT * FROM weather") == []
        assert len(Recall(book).readings()) == 2
    assert path.read_bytes() == before


def test_a_form_from_which_no_way_leads_on_is_a_fault(path: Path) -> None:
    fill(path)
    with open_logbook(path) as book, pytest.raises(LogbookFault, match="no way leads on"):
        migrate(book, {}, schema.VERSION + 1)


def test_copies_do_not_take_each_others_place(path: Path) -> None:
    fill(path)
    with open_logbook(path) as book:
        names = [backup(book, path.with_name("copy.sqlite")).name for _ in range(3)]
    assert names == ["copy.sqlite", "copy.sqlite-2", "copy.sqlite-3"]
    assert len(list(path.parent.iterdir())) == 4


def test_recording_needs_no_numbers_floor() -> None:
    # A step is on the disk before the heavy libraries would have been loaded.
    program = (
        "import sys, slurrycalc.logbook.record, slurrycalc.logbook.sessions\n"
        "print([name for name in ('numpy', 'scipy', 'pint', 'uncertainties') if name in sys.modules])"
    )
    line = [sys.executable, "-c", program]
    done = subprocess.run(line, capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "[]\n"


def test_a_refused_migration_leaves_no_copy_and_a_killed_one_s_copy_is_taken_again(path: Path) -> None:
    fill(path)
    with open_logbook(path) as book:
        with pytest.raises(LogbookFault):
            migrate(book, {schema.VERSION: broken}, schema.VERSION + 1)
        assert list(path.parent.iterdir()) == [path]
        # As a kill behind the copy would leave it.
        left = backup(book, path.with_name(f"{path.name}.form-{schema.VERSION}"))
        migrate(book, {schema.VERSION: with_weather}, schema.VERSION + 1)
    assert sorted(path.parent.iterdir()) == [path, left]
