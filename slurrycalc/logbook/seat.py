"""One guided bench day at a time on a logbook: the seat is held by a lock that ends with the program."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from slurrycalc.logbook.faults import LogbookFault, translated


@contextmanager
def seat(path: Path) -> Iterator[None]:
    """Hold the one seat at a logbook for a guided day.

    The system lets go of the lock when the program ends, however it ends, so a killed one bars nobody.

    Parameters
    ----------
    path : Path
        Of the logbook, which is there.

    Raises
    ------
    LogbookFault
        If another program holds it.
    """
    path = path.resolve()
    name = path.with_name(f".{path.name}.seat")
    with translated(path):
        file = _held(name)
    if file is None:
        raise LogbookFault(
            f"a guided day is open on `{path}` at another terminal; go on there, or stop it there first "
            "(Ctrl-D keeps its answers), and give this line again."
        )
    try:
        yield
    finally:
        # While it is locked, so that nobody waits on a file that is gone.
        with suppress(OSError):
            name.unlink()
        os.close(file)


def _held(name: Path) -> int | None:
    """Open a file and lock it; None where another program has locked it."""
    while True:
        file = os.open(name, os.O_RDWR | os.O_CREAT, 0o600)
        if not _locks(file):
            os.close(file)
            return None
        # Whoever held it before may have taken it away meanwhile.
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(file), name.stat()):
                return file
        os.close(file)


def _locks(file: int) -> bool:
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415  there is none elsewhere

        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl  # noqa: PLC0415  nor this one on Windows

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        # A file system without locks; SQLite could not write there either.
        return True
    return True
