"""Going back to the newest good copy of a logbook; the damaged file is kept beside."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from slurrycalc.logbook.copies import day_of, entries_in, newest_good, way_back
from slurrycalc.logbook.disk import beside, journal_of, sync_folder, write_copy
from slurrycalc.logbook.faults import Damaged, LogbookFault, translated
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal


@dataclass(frozen=True)
class Restored:
    """What a logbook was brought back to."""

    day: str
    """Before whose first write the copy was made."""
    entries: str
    """How many it has, in words."""
    kept: Path | None
    """Where the damaged file lies; None where there was none any more."""


def restore(path: Path) -> Restored:
    """Put the newest good copy of a damaged logbook in its place, and keep the damaged file.

    Parameters
    ----------
    path : Path
        Of the logbook.

    Returns
    -------
    Restored
        What it was brought back to.

    Raises
    ------
    Refusal
        If it is whole.
    LogbookFault
        If no good copy lies beside it, or the file cannot be written.
    """
    if _is_sound(path):
        raise Refusal(
            f"{quoted(path, 200)} is whole, so it stays; to take something back, slurrycalc undo, such as "
            "slurrycalc undo 41."
        )
    copy = newest_good(path)
    if copy is None:
        raise LogbookFault(f"`{path}` cannot be brought back: {way_back(path)}.")
    with translated(path):
        real = path.resolve()
        made = beside(real)
        try:
            with closing(sqlite3.connect(copy)) as db:
                write_copy(db, made)
            shutil.copymode(copy, made)
            kept = _keep(real) if real.exists() else None
            made.replace(real)
            sync_folder(real.parent)
        finally:
            made.unlink(missing_ok=True)
    return Restored(day_of(copy), entries_in(copy), kept)


def _is_sound(path: Path) -> bool:
    try:
        with open_logbook(path, writes=False) as book:
            return book.wrong() is None
    except Damaged:
        return False


def _keep(path: Path) -> Path:
    """Give a damaged file a second name, and take along what a killed program left of a write into it."""
    kept, number = path.with_name(f"{path.name}.damaged"), 1
    while kept.exists():
        number += 1
        kept = path.with_name(f"{path.name}.damaged-{number}")
    journal = journal_of(path)
    if journal.exists():
        journal.rename(journal_of(kept))
    try:
        os.link(path, kept)
    except OSError:  # a file system without second names
        shutil.copy2(path, kept)
    return kept
