"""Files put on the disk whole or not at all: made under another name, synced, then given their own."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

UNFINISHED = ".*.new"
"""Names of files that are being made, or were left by a program that was killed meanwhile."""


def beside(path: Path) -> Path:
    """Give a name in the same folder under which a file can be made.

    Examples
    --------
    >>> beside(Path("bench.sqlite")).match(UNFINISHED)
    True
    """
    # A name that is as long as names may be leaves room for nothing more.
    return path.with_name(f".{path.name[:100]}.{os.urandom(4).hex()}.new")


def left_unfinished(path: Path) -> list[Path]:
    """Find what is being made to get a name, by somebody at work or by one that was killed."""
    start = f".{path.name[:100]}."
    return [each for each in path.parent.glob(UNFINISHED) if each.name.startswith(start)]


def journal_of(path: Path) -> Path:
    """Say where SQLite keeps what it needs to bring back a write that was broken off."""
    return path.with_name(f"{path.name}-journal")


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
    sync_folder(path.parent)
    return True


def sync_folder(folder: Path) -> None:
    """See that the names in a folder are on the disk."""
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


@contextmanager
def read_only(path: Path) -> Iterator[sqlite3.Connection]:
    """Open a database that is there, for reading."""
    uri = f"{path.absolute().as_uri()}?mode=ro"
    with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as db:
        yield db


def write_copy(db: sqlite3.Connection, path: Path) -> None:
    """Write a database, as it is at one moment, into a new file that is on the disk afterwards.

    Parameters
    ----------
    db : Connection
        What is copied; other programs may write into it meanwhile.
    path : Path
        Of the copy; nobody else may know it yet.
    """
    # Made first, so that nobody else may read what only its keeper could.
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    with closing(sqlite3.connect(path, isolation_level=None)) as copy:
        # Nobody knows the file yet, so it needs no journal that could be left behind.
        copy.execute("PRAGMA journal_mode = OFF")
        copy.execute("PRAGMA synchronous = OFF")
        db.backup(copy)
    with path.open("r+b") as file:
        os.fsync(file.fileno())
