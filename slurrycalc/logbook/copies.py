"""Copies of a logbook beside it, one before the first write of a day, and the way back to the newest good."""

from __future__ import annotations

import datetime
import hashlib
import os
import re
import shlex
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from slurrycalc.logbook.disk import UNFINISHED, beside, put_in_place, read_only, write_copy
from slurrycalc.logbook.faults import DAMAGE, damaged
from slurrycalc.logbook.soundness import changed, unsound

DAILY = 5
"""So many of the newest copies are kept, and besides the first one of every month; our own figure."""
_NAME = re.compile(r"(\d{4}-\d{2}-\d{2})\.([0-9a-f]{16})\.sqlite")
"""The day, and the start of the SHA-256 of what was copied, by which a copy is known to be good."""
_STALE = 86_400.0
"""Age after which an unfinished copy is nobody's any more. [s]"""


def folder_of(path: Path) -> Path:
    """Say where the copies of a logbook lie.

    Examples
    --------
    >>> folder_of(Path("bench.sqlite")).name
    'bench.sqlite.copies'
    """
    # Of one file that has two names there is one row of copies.
    whole = path.resolve()
    return whole.with_name(f"{whole.name}.copies")


def copies_of(path: Path) -> list[Path]:
    """List the copies of a logbook, that of the latest day first, good or not."""
    with suppress(OSError):
        return sorted((one for one in folder_of(path).iterdir() if _NAME.fullmatch(one.name)), reverse=True)
    return []


def newest_good(path: Path) -> Path | None:
    """Find the newest copy of a logbook that is as it was when it was made and found sound.

    Parameters
    ----------
    path : Path
        Of the logbook.

    Returns
    -------
    Path or None
        None where there is none.
    """
    return next(filter(_is_good, sorted(copies_of(path), key=_last_entry, reverse=True)), None)


def _last_entry(copy: Path) -> int:
    """Give the number of a copy's last entry: a record only grows, whatever day the clock said."""
    with suppress(sqlite3.Error), read_only(copy) as db:
        return int(db.execute("SELECT max(id) FROM entry").fetchone()[0])
    return -1


def way_back(path: Path) -> str:
    """Say which copy a keeper may go back to, and by which line.

    Parameters
    ----------
    path : Path
        Of a logbook that is damaged.

    Returns
    -------
    str
        The end of a sentence.
    """
    copy = newest_good(path)
    if copy is None:
        return "no good copy lies beside it: keep it as it is, and go back to one of yours"
    named = shlex.quote(str(path)) if os.name == "posix" else f'"{path}"'
    return (
        f"the newest good copy is of {day_of(copy)}, with {entries_in(copy)}: slurrycalc restore --logbook "
        f"{named} goes back to it and keeps this file"
    )


def day_of(copy: Path) -> str:
    """Give the day before whose first write a copy was made."""
    return copy.name[:10]


def entries_in(copy: Path) -> str:
    """Say how many entries a copy has."""
    with read_only(copy) as db:
        (count,) = db.execute("SELECT count(*) FROM entry").fetchone()
    return "1 entry" if count == 1 else f"{count} entries"


def before_writing(db: sqlite3.Connection, path: Path, today: datetime.date | None = None) -> str | None:
    """Copy a logbook before the first write of a day, if it holds anything of another one.

    Parameters
    ----------
    db : Connection
        Of the logbook, with nothing begun.
    path : Path
        Of its file.
    today : date, optional
        The local day, by the clock unless given.

    Returns
    -------
    str or None
        A sentence where no copy could be made; that is no reason not to record.

    Raises
    ------
    LogbookFault
        If the logbook is damaged, or rows that an earlier copy holds are gone: nothing may be written then.
    """
    today = datetime.datetime.now(datetime.UTC).astimezone().date() if today is None else today
    try:
        if any(day_of(copy) == str(today) for copy in copies_of(path)) or not _has_another(db, today):
            return None
        if not os.access(path, os.W_OK):  # it will be refused
            return None
        folder = folder_of(path)
        if not folder.exists():
            folder.mkdir(exist_ok=True)
            # Who may read the logbook may look for its copies.
            folder.chmod(0o300 | (mode := path.stat().st_mode & 0o666) | (mode & 0o444) >> 2)
        made = beside(folder / f"{today}.sqlite")
        try:
            with _held(db):
                write_copy(db, made)
            _see_that_it_is_sound(db, made, path)
            shutil.copymode(path, made)
            put_in_place(made, folder / f"{today}.{_digest(made)}.sqlite")
        finally:
            made.unlink(missing_ok=True)
        _thin_out(path, today)
    except OSError as error:
        return _not_made(path, today, error.strerror or str(error))
    except sqlite3.Error as error:
        if error.sqlite_errorcode & 0xFF in DAMAGE:
            raise
        return _not_made(path, today, str(error))
    return None


def _not_made(path: Path, today: datetime.date, why: str) -> str:
    return (
        f"No copy of `{path}` was made before the first step of {today} ({why}): see that there is room in "
        f"`{folder_of(path).parent}`, and that it may be written in."
    )


def _has_another(db: sqlite3.Connection, today: datetime.date) -> bool:
    """Tell whether the record was begun on another day, even a later one: a clock may have been set back."""
    first = db.execute("SELECT recorded FROM entry ORDER BY id LIMIT 1").fetchone()
    if first is None:
        return False
    try:
        return datetime.datetime.fromisoformat(first[0]).astimezone().date() != today
    except (ValueError, OverflowError):  # of a damaged one, which the copy will show
        return True


def _see_that_it_is_sound(db: sqlite3.Connection, made: Path, path: Path) -> None:
    with read_only(made) as copied:
        wrong = unsound(copied)
        if wrong and unsound(db) is None:
            raise OSError(0, "it is not like the logbook; its disk may be failing")
        earlier = newest_good(path)
        if earlier and not wrong:
            wrong = changed(copied, earlier)
    if wrong:
        raise damaged(path, wrong)


def _thin_out(path: Path, today: datetime.date) -> None:
    """Keep the newest few copies and the first of every month, and nothing that was left unfinished.

    Copies of days to come stay, and are not counted: the clock was set back, or was ahead then.
    """
    copies = copies_of(path)
    days = sorted({day for copy in copies if (day := day_of(copy)) <= str(today)}, reverse=True)
    gone_by = {*days} - {*days[:DAILY], *{day[:7]: day for day in days}.values()}
    gone = [copy for copy in copies if day_of(copy) in gone_by]
    old = time.time() - _STALE
    gone += [left for left in folder_of(path).glob(UNFINISHED) if left.stat().st_mtime < old]
    for each in gone:
        with suppress(OSError):
            each.unlink()


def _is_good(copy: Path) -> bool:
    found = _NAME.fullmatch(copy.name)
    with suppress(OSError):
        return found is not None and _digest(copy) == found[2]
    return False


def _digest(file: Path) -> str:
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()[:16]


@contextmanager
def _held(db: sqlite3.Connection) -> Iterator[None]:
    """Keep others from writing, so that a copy neither waits for them without end nor begins anew."""
    db.execute("BEGIN")
    try:
        db.execute("SELECT 1 FROM entry LIMIT 1").fetchone()
        yield
    finally:
        db.execute("ROLLBACK")
