"""What can be wrong with a logbook's file, each said in one sentence."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class LogbookFault(Exception):
    """The logbook could not be used. Its text is one sentence; the file is as it was before.

    Parameters
    ----------
    sentence : str
        What is wrong and what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class Damaged(LogbookFault):
    """What lies there was a logbook, or may have been one, and can no longer be trusted."""


class NoLogbook(LogbookFault):
    """There is no logbook yet where one was to be read."""


WAIT = 10.0
"""How long to wait for another program that is writing. [s]"""


def sentence_for(error: sqlite3.Error, path: Path, wait: float = WAIT) -> str | None:
    """Say what the database found wrong with its file.

    Parameters
    ----------
    error : sqlite3.Error
        As raised.
    path : Path
        Of the logbook.
    wait : float
        How long was waited for other programs. [s]

    Returns
    -------
    str or None
        One sentence; None where the fault lies with the program, or the file is damaged.

    References
    ----------
    .. [1] Result and error codes, sqlite.org/rescode.html: the low byte is the primary code.

    Examples
    --------
    >>> error = sqlite3.OperationalError("database or disk is full")
    >>> error.sqlite_errorcode = sqlite3.SQLITE_FULL
    >>> sentence_for(error, Path("bench.sqlite"))
    'nothing was recorded in `bench.sqlite`: the disk is full; make room and try again.'
    """
    at = f"`{path}`"
    sentences = {
        sqlite3.SQLITE_BUSY: f"another program has been writing in {at} for more than {wait:g} s; "
        "close it and try again.",
        sqlite3.SQLITE_LOCKED: f"another program holds {at}; close it and try again.",
        sqlite3.SQLITE_READONLY: f"{at} cannot be written: the file or its folder is read-only; "
        "make both writable, or name another by --logbook.",
        sqlite3.SQLITE_PERM: f"you may not use {at}; ask its owner, or name another logbook by --logbook.",
        sqlite3.SQLITE_IOERR: f"nothing was recorded in {at}: its disk is full, or fails; make room and "
        "try again.",
        sqlite3.SQLITE_FULL: f"nothing was recorded in {at}: the disk is full; make room and try again.",
        sqlite3.SQLITE_CANTOPEN: f"{at} cannot be opened; see that its folder is there and may be written "
        "in.",
    }
    return sentences.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)


DAMAGE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
"""Result codes of a file whose contents make no sense."""


def damaged(path: Path, what: str, otherwise: str = "") -> Damaged:
    """Say that a logbook is damaged, and how to go back to its newest good copy.

    Parameters
    ----------
    path : Path
        Of the logbook.
    what : str
        What is wrong with it, after its name.
    otherwise : str
        What else could be done, after a comma.

    Returns
    -------
    Damaged
        To be raised.

    Examples
    --------
    >>> str(damaged(Path("bench.sqlite"), "is cut short"))
    '`bench.sqlite` is cut short; no good copy lies beside it: keep it as it is, and go back to one of yours.'
    """
    from slurrycalc.logbook.copies import way_back  # noqa: PLC0415  which says by this module what is wrong

    return Damaged(f"`{path}` {what}; {way_back(path)}{f', {otherwise}' if otherwise else ''}.")


@contextmanager
def translated(path: Path, wait: float = WAIT) -> Iterator[None]:
    """Turn what is wrong with the file into a `LogbookFault`; the program's own mistakes pass through.

    Parameters
    ----------
    path : Path
        Of the logbook.
    wait : float
        How long is waited for other programs. [s]

    Raises
    ------
    LogbookFault
        Where the file cannot be used.
    """
    try:
        yield
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in DAMAGE:
            raise damaged(path, "is damaged or cut short") from error
        sentence = sentence_for(error, path, wait)
        if sentence is None:
            raise
        raise LogbookFault(sentence) from error
    except OSError as error:
        raise LogbookFault(f"`{path}` cannot be used ({error.strerror or error}).") from error
