"""The first hundred bytes of a logbook's file: what it is, in which form, and how long it must be."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from slurrycalc.logbook import schema
from slurrycalc.logbook.faults import LogbookFault, damaged

LENGTH = 100
MAGIC = b"SQLite format 3\x00"


def see_that_it_is_known(path: Path) -> None:
    """See that a file is a logbook of a form that is known here, without opening it as a database.

    Parameters
    ----------
    path : Path
        Of the file.

    Raises
    ------
    LogbookFault
        If it is no logbook, or none that this program knows.

    References
    ----------
    .. [1] Database file format, sqlite.org/fileformat2.html, section 1.3.
    """
    if path.is_dir():
        raise LogbookFault(f"`{path}` is a folder; name the logbook's file inside it.")
    if not path.is_file():
        raise LogbookFault(f"`{path}` is a device or a pipe, not a file; name another by --logbook.")
    with path.open("rb") as file:
        head = file.read(LENGTH)
    if not head:
        raise damaged(path, "is empty, as if cut short", "or move it away to begin anew")
    another = "or name another file by --logbook"
    if not head.startswith(MAGIC):
        raise damaged(path, "is no logbook, but a file of another kind", another)
    if len(head) < LENGTH:
        raise damaged(path, "is cut short")
    if int.from_bytes(head[68:72], "big") != schema.APPLICATION_ID:
        raise damaged(path, "is a database of another program", another)
    version = int.from_bytes(head[60:64], "big")
    if version > schema.VERSION:
        raise LogbookFault(
            f"`{path}` was written by a newer slurrycalc (form {version}, and this one knows "
            f"{schema.VERSION}); update slurrycalc."
        )


def is_whole(db: sqlite3.Connection, path: Path) -> bool:
    """Hold the size of a file against the pages that its header counts.

    SQLite counts a page that was cut as a whole one, and reads zeros where it was cut.

    Parameters
    ----------
    db : Connection
        Of the file, with nothing begun.
    path : Path
        Of the file.

    Returns
    -------
    bool
        Whether the file is as long as it must be.
    """
    # While it is read nobody writes, so that header and size are of one moment.
    db.execute("BEGIN")
    try:
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()
        if db.execute("PRAGMA journal_mode").fetchone() == ("wal",):
            # Another program changed the way of writing: pages wait in a second file.
            return True
        (pages,), (size,) = (db.execute(f"PRAGMA page_{what}").fetchone() for what in ("count", "size"))
        # Not by opening it: closing it again would let go of the locks that this process holds.
        return bool(path.stat().st_size == pages * size)
    finally:
        db.execute("ROLLBACK")
