"""Bringing an older logbook up to the present form, after a copy was put beside it."""

from __future__ import annotations

import filecmp
import glob
import shutil
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from slurrycalc.logbook import schema
from slurrycalc.logbook.disk import beside, left_unfinished, put_in_place, read_only, write_copy
from slurrycalc.logbook.faults import LogbookFault, translated
from slurrycalc.logbook.store import Store

Step = Callable[[sqlite3.Connection], None]


def _add_tables(form: int) -> Step:
    def step(db: sqlite3.Connection) -> None:
        for statement in schema.added(form):
            db.execute(statement)

    return step


def _hold_to_more(db: sqlite3.Connection) -> None:
    """Make the tables anew, with conditions that the earlier form did not have; every row stays as it is."""
    db.execute("PRAGMA ignore_check_constraints = ON")
    try:
        for statement in schema.made_anew(3):
            db.execute(statement)
    finally:
        db.execute("PRAGMA ignore_check_constraints = OFF")


STEPS: Mapping[int, Step] = {1: _add_tables(2), 2: _hold_to_more, 3: _add_tables(4), 4: _add_tables(5)}
"""From each older form to the next one: changes the tables, and nothing that was recorded in them."""


def migrate(book: Store, steps: Mapping[int, Step] = STEPS, version: int = schema.VERSION) -> Store:
    """Bring a logbook up to a form, all the way or not at all, after a copy was put beside it.

    Where it stays as it was, no copy is left behind; what a killed attempt left is taken or taken away.

    Parameters
    ----------
    book : Store
        Open for writing.
    steps : mapping
        From each form to the next.
    version : int
        The form to reach.

    Returns
    -------
    Store
        The same.

    Raises
    ------
    LogbookFault
        If no step leads on, or the file or its folder cannot be written; the logbook is then as it was.
    """
    copy = None
    # Foreign keys are held off while tables are made anew, and looked through before it counts.
    book.connection.execute("PRAGMA foreign_keys = OFF")
    try:
        # Whoever holds the file is the only one on the way up; another program may have been first.
        with book.transaction(copies=False):
            first = form_of(book)
            way = [_step_from(book.path, form, steps) for form in range(first, version)]
            if way:
                copy = _copy_of(book, first)
            for step in way:
                step(book.connection)
            if book.connection.execute("PRAGMA foreign_key_check").fetchone():
                raise LogbookFault(f"`{book.path}` could not be brought to form {version}; it is as before.")
            if way:
                book.connection.execute(f"PRAGMA user_version = {version}")
    except BaseException:
        with suppress(sqlite3.Error, OSError, LogbookFault):
            if copy is not None and form_of(book) == first:
                copy.unlink()
        raise
    finally:
        book.connection.execute("PRAGMA foreign_keys = ON")
    return book


def _step_from(path: Path, form: int, steps: Mapping[int, Step]) -> Step:
    if form not in steps:
        raise LogbookFault(f"`{path}` has form {form}, from which no way leads on; go back to a copy.")
    return steps[form]


def _copy_of(book: Store, form: int) -> Path:
    """Put a copy beside, while nobody else is at it; that of an attempt which was killed is as good."""
    path = book.path.with_name(f"{book.path.name}.form-{form}")
    for half_made in left_unfinished(path):
        half_made.unlink()
    copy = backup(book, path)
    for left in path.parent.glob(f"{glob.escape(path.name)}*"):
        if left != copy and left.is_file() and filecmp.cmp(left, copy, shallow=False):
            copy.unlink()
            return left
    return copy


def form_of(book: Store) -> int:
    """Give the version of the form that a logbook has now.

    Parameters
    ----------
    book : Store

    Returns
    -------
    int
        Its ``user_version``.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> form_of(in_memory()) == schema.VERSION
    True
    """
    return int(book.rows("PRAGMA user_version")[0][0])


def backup(book: Store, path: Path) -> Path:
    """Put a copy of a logbook beside it, whatever other programs do meanwhile.

    Parameters
    ----------
    book : Store
        The logbook.
    path : Path
        Of the copy; where it is taken, a number is added.

    Returns
    -------
    Path
        Where the copy lies.

    Raises
    ------
    LogbookFault
        If it cannot be written.
    """
    made = beside(path)
    try:
        with translated(path):
            # By another connection: SQLite copies nothing from one that holds the file for writing.
            with read_only(book.path) as db:
                write_copy(db, made)
            shutil.copymode(book.path, made)
            target, number = path, 1
            while not put_in_place(made, target):
                number += 1
                target = path.with_name(f"{path.name}-{number}")
            return target
    finally:
        made.unlink(missing_ok=True)


def in_memory_copy(
    book: Store, steps: Mapping[int, Step] = STEPS, version: int = schema.VERSION
) -> Store:
    """Give an older logbook in the present form without touching its file, for reading only.

    Parameters
    ----------
    book : Store
        Open for reading; it is closed.
    steps, version
        As for `migrate`.

    Returns
    -------
    Store
        A copy in memory.

    Raises
    ------
    LogbookFault
        If no step leads on.
    """
    with translated(book.path):
        # By URI, as files are opened: a copy is held against another one by its URI.
        copy = sqlite3.connect("file::memory:", uri=True, isolation_level=None)
        book.connection.backup(copy)
    book.close()
    for form in range(int(copy.execute("PRAGMA user_version").fetchone()[0]), version):
        _step_from(book.path, form, steps)(copy)
    return Store(copy, book.path, False)
