"""The logbook's file: opening, reading, and one transaction a step."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar

from slurrycalc.logbook import schema
from slurrycalc.logbook.copies import before_writing, folder_of, newest_good
from slurrycalc.logbook.disk import beside, journal_of, put_in_place, read_only
from slurrycalc.logbook.faults import WAIT, LogbookFault, NoLogbook, damaged, translated
from slurrycalc.logbook.soundness import changed, misnumbered, unsound
from slurrycalc.metrology.remark import Refusal

SMALL = 2_000_000
"""Size up to which a logbook is looked through for damage whenever it is opened; our own. [bytes]

Eighteen months of the example take 220 kB, looked through in 7 ms; a larger one is looked through before the
first write of a day, and where a line fails.
"""
Row = tuple[Any, ...]
Entered = TypeVar("Entered")


class Store:
    """An open logbook; `open_logbook` gives one.

    Examples
    --------
    >>> with in_memory() as book:
    ...     book.rows("SELECT count(*) FROM entry")
    [(0,)]
    """

    def __init__(
        self,
        db: sqlite3.Connection,
        path: Path,
        writes: bool,
        wait: float = WAIT,
        *,
        on_disk: bool = True,
    ) -> None:
        self.path = path
        self.writes = writes
        self.no_copy: str | None = None
        """Why no copy was made before the first write of the day, in a sentence, if that failed."""
        self._db = db
        self._wait = wait
        self._copied = not on_disk
        self._to_copy = False
        self._on_disk = on_disk

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            ours = isinstance(error, Exception) and not isinstance(error, LogbookFault | Refusal)
            if ours and self._on_disk:
                self.see_that_it_is_sound(error)
        finally:
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

        Raises
        ------
        LogbookFault
            If the logbook is damaged, which is seen before the first write of a day.
        """
        if self._to_copy:
            # No sooner, so that what is refused puts nothing beside; others see what was there before.
            self._to_copy, self._copied = False, True
            with read_only(self.path) as before:
                self.no_copy = before_writing(before, self.path)
        self._db.executemany(sql, rows)

    def copy(self) -> Store:
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
        return Store(db, self.path, True, on_disk=False)

    @contextmanager
    def transaction(self, *, copies: bool = True) -> Iterator[None]:
        """Record everything inside, or nothing.

        Parameters
        ----------
        copies : bool
            Whether a copy is put beside before the first write of a day.

        Raises
        ------
        LogbookFault
            If the file cannot be written; nothing of it is then recorded.
        """
        if not self.writes:
            raise LogbookFault(f"`{self.path}` was opened for reading only; nothing was recorded.")
        with translated(self.path, self._wait):
            self._db.execute("BEGIN IMMEDIATE")
            self._to_copy = copies and not self._copied
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

    def wrong(self) -> str | None:
        """Look through the whole record for damage.

        Returns
        -------
        str or None
            What is wrong with it, after its name; None where nothing is.

        Raises
        ------
        LogbookFault
            If the file cannot be read.
        """
        with translated(self.path, self._wait):
            copy = newest_good(self.path)
            return unsound(self._db) or (changed(self._db, copy) if copy else None)

    def see_that_it_is_sound(self, error: BaseException | None = None) -> None:
        """Look through the whole record for damage.

        Parameters
        ----------
        error : BaseException, optional
            What failed, for which damage may be the reason.

        Raises
        ------
        Damaged
            If something is wrong with it.
        """
        if wrong := self.wrong():
            raise damaged(self.path, wrong) from error


def open_logbook(path: Path, *, writes: bool = True, wait: float = WAIT) -> Store:
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
    Store
        To be closed, or used in a ``with`` statement.

    Raises
    ------
    NoLogbook
        If there is none and `writes` is false.
    LogbookFault
        If what lies there cannot be used; it is left as it is.
    """
    from slurrycalc.logbook.migrate import form_of, in_memory_copy, migrate  # noqa: PLC0415  it imports us

    with translated(path, wait):
        exists = path.exists()
        if not exists and newest_good(path):
            raise damaged(path, "is gone", f"or move `{folder_of(path)}` away to begin anew")
        if not exists and not writes:
            raise NoLogbook(f"there is no logbook at `{path}` yet; `slurrycalc bench` begins one.")
        if not exists:
            _begin(path)
        # A step that names nothing opens no file, and never loads this.
        from slurrycalc.logbook.header import see_that_it_is_known  # noqa: PLC0415

        see_that_it_is_known(path)
        book = _connected(path, writes, wait)
        try:
            # Only now: somebody who was killed on the way up had perhaps written the new one already.
            version = form_of(book)
            if path.stat().st_size <= SMALL or (writes and version < schema.VERSION):
                book.see_that_it_is_sound()
            if writes and version < schema.VERSION:
                book = migrate(book)
            elif version < schema.READABLE:
                book = in_memory_copy(book)
        except BaseException:
            book.close()
            raise
        return book


def in_memory() -> Store:
    """Give an empty logbook that is gone when it is closed, for examples and trials.

    Returns
    -------
    Store
        For writing.
    """
    db = sqlite3.connect(":memory:", isolation_level=None)
    db.execute("PRAGMA foreign_keys = ON")
    for statement in schema.statements():
        db.execute(statement)
    return Store(db, Path(":memory:"), True, on_disk=False)


def try_first(path: Path, enter: Callable[[Store], Entered]) -> None:
    """Enter in memory what would begin a logbook, so that what is refused begins none."""
    if not path.exists():
        with in_memory() as trial:
            enter(trial)


def _begin(path: Path) -> None:
    """Make an empty logbook beside and put it in place whole, so that no half-made one is ever met."""
    path.parent.mkdir(parents=True, exist_ok=True)
    made = beside(path)
    try:
        db = sqlite3.connect(made, isolation_level=None)
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
        put_in_place(made, path)
    finally:
        made.unlink(missing_ok=True)


def _connected(path: Path, writes: bool, wait: float) -> Store:
    try:
        return _connect(path, writes, wait)
    except sqlite3.Error as error:
        # Somebody was stopped in the middle of writing: the file must be brought back before it can be read.
        if writes or error.sqlite_errorcode not in _UNFINISHED or not journal_of(path).exists():
            raise
        with suppress(sqlite3.Error):
            _connect(path, True, wait).close()
        return _connect(path, False, wait)


_UNFINISHED = (sqlite3.SQLITE_READONLY_ROLLBACK, sqlite3.SQLITE_READONLY_RECOVERY, sqlite3.SQLITE_CANTOPEN)


def _connect(path: Path, writes: bool, wait: float) -> Store:
    uri = f"{path.absolute().as_uri()}?mode={'rw' if writes else 'ro'}"
    db = sqlite3.connect(uri, uri=True, timeout=wait, isolation_level=None)
    try:
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA trusted_schema = OFF")
        if writes:
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA journal_mode = DELETE")
        db.execute("PRAGMA cell_size_check = ON")
        # Looks at the file for the first time, and brings back what was left half-written.
        from slurrycalc.logbook.header import is_whole  # noqa: PLC0415

        if not is_whole(db, path):
            raise damaged(path, "is not as long as it must be, as if cut short")
        # A smaller one is looked through for more than that, once it is open.
        if path.stat().st_size > SMALL and (wrong := misnumbered(db)):
            raise damaged(path, wrong)
    except UnicodeDecodeError as error:
        # SQLite quotes what it cannot make sense of, and Python cannot read the quotation.
        db.close()
        raise damaged(path, "is damaged") from error
    except BaseException:
        db.close()
        raise
    return Store(db, path, writes, wait)
