"""The logbook's file: opening, reading, and one transaction a step."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from slurrycalc.logbook import schema
from slurrycalc.logbook.faults import WAIT, LogbookFault, NoLogbook, translated

_HEAD = 100
_MAGIC = b"SQLite format 3\x00"
Row = tuple[Any, ...]


class Logbook:
    """An open logbook; `open_logbook` gives one.

    Examples
    --------
    >>> with in_memory() as book:
    ...     book.rows("SELECT count(*) FROM entry")
    [(0,)]
    """

    def __init__(self, db: sqlite3.Connection, path: Path, writes: bool, wait: float = WAIT) -> None:
        self.path = path
        self.writes = writes
        self._db = db
        self._wait = wait

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    @property
    def connection(self) -> sqlite3.Connection:
        """The database, for a hook."""
        return self._db

    def rows(self, sql: str, parameters: Sequence[Any] = ()) -> list[Row]:
        """Give what a statement finds.

        Parameters
        ----------
        sql : str
            A statement that reads.
        parameters : sequence
            For its question marks.

        Returns
        -------
        list of tuple
            All rows.

        Raises
        ------
        LogbookFault
            If the file cannot be read.
        """
        with translated(self.path, self._wait):
            return self._db.execute(sql, parameters).fetchall()

    def add(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Add rows, within `transaction`.

        Parameters
        ----------
        sql : str
            A statement that inserts.
        rows : iterable of sequence
            For its question marks.
        """
        self._db.executemany(sql, rows)

    def copy(self) -> Logbook:
        """Give the record as it is now, in memory: what is written there never reaches the file.

        Raises
        ------
        LogbookFault
            If the file cannot be read.
        """
        db = sqlite3.connect(":memory:", isolation_level=None)
        try:
            with translated(self.path, self._wait):
                self._db.backup(db)
            db.execute("PRAGMA foreign_keys = ON")
        except BaseException:
            db.close()
            raise
        return Logbook(db, self.path, True)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Record everything inside, or nothing.

        Raises
        ------
        LogbookFault
            If the file cannot be written; nothing of it is then recorded.
        """
        if not self.writes:
            raise LogbookFault(f"`{self.path}` was opened for reading only; nothing was recorded.")
        with translated(self.path, self._wait):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                # Some faults of the disk have rolled it back already.
                with suppress(sqlite3.Error):
                    if self._db.in_transaction:
                        self._db.execute("ROLLBACK")
                raise

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Let everything read inside be of one moment, whatever other programs write meanwhile."""
        if self._db.in_transaction:
            yield
            return
        with translated(self.path, self._wait):
            self._db.execute("BEGIN")
            try:
                yield
            finally:
                with suppress(sqlite3.Error):
                    self._db.execute("ROLLBACK")


def open_logbook(path: Path, *, writes: bool = True, wait: float = WAIT) -> Logbook:
    """Open a logbook; for writing, one is begun where there is none.

    Parameters
    ----------
    path : Path
        Of the file.
    writes : bool
        False to read only: nothing on the disk changes then.
    wait : float
        How long to wait for another program that is writing. [s]

    Returns
    -------
    Logbook
        To be closed, or used in a ``with`` statement.

    Raises
    ------
    NoLogbook
        If there is none and `writes` is false.
    LogbookFault
        If what lies there cannot be used; it is left as it is.
    """
    from slurrycalc.logbook.migrate import in_memory_copy, migrate  # noqa: PLC0415  only old files need it

    with translated(path, wait):
        exists = path.exists()
        if not exists and not writes:
            raise NoLogbook(f"there is no logbook at `{path}` yet; `slurrycalc bench` begins one.")
        if not exists:
            _begin(path)
        version = _look_at(path)
        book = _connected(path, writes, wait)
        try:
            if writes and version < schema.VERSION:
                book = migrate(book)
            elif version < schema.READABLE:
                book = in_memory_copy(book)
        except BaseException:
            book.close()
            raise
        return book


def in_memory() -> Logbook:
    """Give an empty logbook that is gone when it is closed, for examples and trials.

    Returns
    -------
    Logbook
        For writing.
    """
    db = sqlite3.connect(":memory:", isolation_level=None)
    db.execute("PRAGMA foreign_keys = ON")
    for statement in schema.statements():
        db.execute(statement)
    return Logbook(db, Path(":memory:"), True)


def _begin(path: Path) -> None:
    """Make an empty logbook beside and put it in place whole, so that no half-made one is ever met."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.{os.urandom(4).hex()}.new")
    try:
        db = sqlite3.connect(beside, isolation_level=None)
        try:
            # Nobody knows the file yet, so it needs no journal that could be left behind.
            db.execute("PRAGMA journal_mode = MEMORY")
            db.execute("PRAGMA synchronous = FULL")
            db.execute("BEGIN")
            for statement in schema.statements():
                db.execute(statement)
            db.execute("COMMIT")
        finally:
            db.close()
        put_in_place(beside, path)
    finally:
        beside.unlink(missing_ok=True)


def put_in_place(new: Path, path: Path) -> bool:
    """Give a finished file its name, unless something has that name already.

    Parameters
    ----------
    new : Path
        The finished file, in the same folder.
    path : Path
        Its name to be.

    Returns
    -------
    bool
        Whether it was put there.
    """
    try:
        # A second name for the file; unlike a renaming it never takes the place of another.
        os.link(new, path)
    except FileExistsError:
        return False
    except OSError:
        # A file system without second names.
        if path.exists():
            return False
        new.rename(path)
    if os.name == "posix":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    return True


def _look_at(path: Path) -> int:
    """Read the marks of the file without opening it as a database, and give the version of its form."""
    if path.is_dir():
        raise LogbookFault(f"`{path}` is a folder; name the logbook's file inside it.")
    with path.open("rb") as file:
        head = file.read(_HEAD)
    if not head:
        raise LogbookFault(
            f"`{path}` is empty, as if cut short; go back to a copy, or move it away to begin anew."
        )
    if not head.startswith(_MAGIC):
        raise LogbookFault(f"`{path}` is no logbook, but a file of another kind; name another by --logbook.")
    if len(head) < _HEAD:
        raise LogbookFault(f"`{path}` is cut short; go back to a copy, and keep this file as it is.")
    if int.from_bytes(head[68:72], "big") != schema.APPLICATION_ID:
        raise LogbookFault(f"`{path}` is a database of another program; name another file by --logbook.")
    version = int.from_bytes(head[60:64], "big")
    if version > schema.VERSION:
        raise LogbookFault(
            f"`{path}` was written by a newer slurrycalc (form {version}, and this one knows "
            f"{schema.VERSION}); update slurrycalc."
        )
    return version


def _connected(path: Path, writes: bool, wait: float) -> Logbook:
    try:
        return _connect(path, writes, wait)
    except sqlite3.Error as error:
        # Somebody was stopped in the middle of writing: the file must be brought back before it can be read.
        if writes or error.sqlite_errorcode not in _UNFINISHED or not _journal(path).exists():
            raise
        with suppress(sqlite3.Error):
            _connect(path, True, wait).close()
        return _connect(path, False, wait)


_UNFINISHED = (sqlite3.SQLITE_READONLY_ROLLBACK, sqlite3.SQLITE_READONLY_RECOVERY, sqlite3.SQLITE_CANTOPEN)


def _journal(path: Path) -> Path:
    return path.with_name(f"{path.name}-journal")


def _connect(path: Path, writes: bool, wait: float) -> Logbook:
    uri = f"{path.absolute().as_uri()}?mode={'rw' if writes else 'ro'}"
    db = sqlite3.connect(uri, uri=True, timeout=wait, isolation_level=None)
    try:
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA trusted_schema = OFF")
        if writes:
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA journal_mode = DELETE")
        # Looks at the file for the first time, and brings back what was left half-written.
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except BaseException:
        db.close()
        raise
    return Logbook(db, path, writes, wait)
