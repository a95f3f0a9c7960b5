"""Whether a record is sound: its pages fit together, its rows can be read, and none of them has changed."""

from __future__ import annotations

import datetime
import re
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import msgspec

from slurrycalc.logbook.columns import FARTHEST, UID, Column, TableShape
from slurrycalc.logbook.forms import TABLES

DAMAGED = "is damaged"
_KINDS: Mapping[str, tuple[type, ...]] = {"integer": (int,), "boolean": (int,), "number": (int, float)}
_OLD_SLIP = re.compile(r"\d{1,3}-\d\d-\d\d(T\d\d:\d\d:\d\d(\.\d+)?Z)?")
"""A year written short, as a version before form 3 recorded it: what is on record stays in reach."""


def _day(text: str) -> None:
    if not _OLD_SLIP.fullmatch(text):
        datetime.date.fromisoformat(text)


def _moment(text: str) -> None:
    if not text.endswith("Z"):
        raise ValueError
    if not _OLD_SLIP.fullmatch(text):
        datetime.datetime.fromisoformat(text)


def _numbers(text: str) -> None:
    if not all(abs(float(each)) < FARTHEST for each in text.split()):
        raise ValueError


_READS: Mapping[str, Callable[[str], Any]] = {
    "again": _numbers,
    "json": msgspec.json.decode,
    "datetime": _moment,
    "date": _day,
}


def unsound(db: sqlite3.Connection) -> str | None:
    """Look through a whole record for damage.

    Parameters
    ----------
    db : Connection
        Of a logbook in any form.

    Returns
    -------
    str or None
        What is wrong with it, after its name; None where nothing is. A number or a word that became another
        one is not seen here, but by `changed`.
    """
    # Everything of one moment, and one lock for all of it.
    db.execute("BEGIN")
    try:
        # What an older form let in may stay; whether it can be read is seen below.
        db.execute("PRAGMA ignore_check_constraints = ON")
        if db.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
            return DAMAGED
        if db.execute("PRAGMA foreign_key_check").fetchone():
            return "is damaged, or was edited: it points to entries that are not there"
        (form,) = db.execute("PRAGMA user_version").fetchone()
        wrong = (_unreadable(db, table) for table in TABLES if table.since <= form)
        return next(filter(None, wrong), None)
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        return DAMAGED
    finally:
        with suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        db.execute("PRAGMA ignore_check_constraints = OFF")


def misnumbered(db: sqlite3.Connection) -> str | None:
    """Find a number that is none: an answer that was computed with it would be none either.

    Parameters
    ----------
    db : Connection
        Of a logbook in any form.

    Returns
    -------
    str or None
        What is wrong with it, after its name. A million readings take some 0.4 s.
    """
    (form,) = db.execute("PRAGMA user_version").fetchone()
    for table in TABLES:
        numbers = [column.name for column in table.columns if column.type == "number"]
        if not numbers or table.since > form:
            continue
        # A word is larger than any number to SQLite, and what is empty neither outside nor within.
        outside = " OR ".join(f"{name} NOT BETWEEN -{FARTHEST} AND {FARTHEST}" for name in numbers)
        found = db.execute(f"SELECT {table.key[0]} FROM {table.name} WHERE {outside} LIMIT 1").fetchone()
        if found:
            return f"is damaged, or was edited: entry {found[0]} cannot be read in {table.name}"
    return None


def _unreadable(db: sqlite3.Connection, table: TableShape) -> str | None:
    """Read every row of a table as the record does."""
    guards = {f"{table.name}_no_{act}" for act in ("update", "delete", "replace")}
    triggers = db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    if not guards <= {name for (name,) in triggers}:
        return f"was edited: nothing keeps the rows of {table.name} as they were recorded"
    there = [row[1] for row in db.execute(f"PRAGMA table_info({table.name})")]
    columns = [column for column in table.columns if column.name in there]
    for row in db.execute(f"SELECT {', '.join(column.name for column in columns)} FROM {table.name}"):
        if not all(map(_can_be_read, columns, row)):
            return f"is damaged, or was edited: entry {row[0]} cannot be read in {table.name}"
    return None


def _can_be_read(column: Column, value: Any) -> bool:
    if value is None:
        return column.null
    kinds = (int,) if column.to else _KINDS.get(column.type, (str,))
    if not isinstance(value, kinds) or (column.choices and value not in column.choices):
        return False
    if not isinstance(value, str):
        return column.type != "number" or not isinstance(value, int | float) or abs(value) < FARTHEST
    try:
        _READS.get(column.name, _READS.get(column.type, bool))(value)
    except (ValueError, RecursionError):
        return False
    return column.name != "uid" or re.fullmatch(UID, value) is not None


def changed(db: sqlite3.Connection, copy: Path) -> str | None:
    """Hold a record against an earlier copy of it: recorded rows are never changed, and never go.

    Parameters
    ----------
    db : Connection
        Of a logbook, with nothing begun.
    copy : Path
        Of an earlier one, named by its day.

    Returns
    -------
    str or None
        What is wrong with it, after its name; None where every row of the copy is there, or it is a copy of
        another record.
    """
    db.execute("ATTACH ? AS copy", (f"{copy.absolute().as_uri()}?mode=ro",))
    try:
        db.execute("BEGIN")
        if not db.execute("SELECT 1 FROM copy.entry JOIN main.entry USING (uid) LIMIT 1").fetchone():
            return None
        for table in TABLES:
            names = [row[1] for row in db.execute(f"PRAGMA copy.table_info({table.name})")]
            if not names:
                continue
            then, now = (f"SELECT {', '.join(names)} FROM {where}.{table.name}" for where in ("copy", "main"))
            gone = db.execute(f"{then} EXCEPT {now} LIMIT 1").fetchone()
            if gone:
                which = f"{'thing' if table.name == 'thing' else 'entry'} {gone[0]}"
                return f"is damaged, or was edited: {which} is no longer as in its copy of {copy.name[:10]}"
        return None
    finally:
        with suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        db.execute("DETACH copy")
