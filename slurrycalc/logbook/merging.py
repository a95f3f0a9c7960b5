"""Bringing another logbook's record into this one: what is known already is left alone."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slurrycalc.logbook.columns import Table
from slurrycalc.logbook.descriptor import file_of
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.packages import BadRow, BadRows, Columns, read_package
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.schema import guard
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Logbook
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.quote import quoted

Numbered = list[tuple[int, tuple[Any, ...]]]
"""Rows with their places in their file."""


@dataclass(frozen=True)
class Renamed:
    """A thing whose name was taken here."""

    kind: str
    name: str
    now: str


@dataclass(frozen=True)
class Imported:
    """What came in."""

    entries: int
    known: int
    """Entries that were here already."""
    rows: int
    """In all tables."""
    renamed: tuple[Renamed, ...] = ()
    saved: Id | None = None
    """The entry by which it can be undone; None where nothing of that kind was recorded."""
    left_out: tuple[BadRow, ...] = ()
    """Rows that cannot be read or cannot stand, where the others were to come in without them."""


def import_package(book: Logbook, path: Path, now: datetime.datetime) -> Imported:
    """Bring in an exported logbook; doing it twice adds nothing.

    Parameters
    ----------
    book : Logbook
        Open for writing.
    path : Path
        Of the folder or the archive.
    now : datetime
        The present, with its offset from UTC.

    Returns
    -------
    Imported
        What came in: everything that was not here, or nothing at all.

    Raises
    ------
    Refusal
        If it is no exported logbook, a row cannot be read or cannot stand, or an entry is here with other
        contents.
    LogbookFault
        If a file cannot be read or written.
    """
    tables = read_package(path)
    with book.transaction(), _unguarded(book):
        return _Merging(book, tables, path.name).merge(now)


@contextmanager
def _unguarded(book: Logbook) -> Iterator[None]:
    """Do without the triggers against replacing while nothing is replaced: they would take half the time.

    They are gone within the transaction only, in which nobody else can write.
    """
    for table in TABLES:
        book.connection.execute(f"DROP TRIGGER {table.name}_no_replace")
    yield
    for table in TABLES:
        book.connection.execute(guard(table))


class _Merging:
    """One package on its way in, within a transaction."""

    def __init__(self, book: Logbook, tables: dict[str, Columns], name: str) -> None:
        self.book = book
        self.tables = tables
        self.name = name
        self.bad: list[BadRow] = []
        self.numbers: dict[str, dict[str, int]] = {
            kind: dict(book.rows(f"SELECT uid, id FROM {kind}")) for kind in ("entry", "thing")
        }
        self.known = {
            self.numbers["entry"][uid] for uid in tables["entry"][1] if uid in self.numbers["entry"]
        }
        self.fresh = {kind: self._number(kind) for kind in ("entry", "thing")}

    def _number(self, kind: str) -> list[str]:
        """Give numbers of this logbook to what is new, in the order of the numbers there."""
        ids, uids = self.tables[kind][:2]
        numbers = self.numbers[kind]
        # What an entry points to came before it, and so it must here.
        ordered = [uid for _, uid in sorted(zip(ids, uids, strict=True), key=lambda pair: pair[0] or 0)]
        fresh = list(dict.fromkeys(uid for uid in ordered if uid not in numbers))
        first = max(numbers.values(), default=0) + 1
        numbers.update((uid, first + i) for i, uid in enumerate(fresh))
        return fresh

    def merge(self, now: datetime.datetime) -> Imported:
        """Add what is new, and see that what is known is the same."""
        count = 0
        for table in TABLES:
            rows = self._inside(table)
            if self.bad:
                continue
            own = table.names.index("id" if table.name == "entry" else "entry")
            added = [(i, row) for i, row in enumerate(rows) if row[own] not in self.known]
            if len(added) < len(rows):
                self._hold_equal(table, [(i, row) for i, row in enumerate(rows) if row[own] in self.known])
            count += len(added)
            self._add(table, added)
        if self.bad:
            raise BadRows(self.name, self.bad)
        renamed, saved = self._rename(now)
        return Imported(len(self.fresh["entry"]), len(self.known), count, renamed, saved)

    def _inside(self, table: Table) -> list[tuple[Any, ...]]:
        """Turn a table that points by uid into rows that point by number."""
        columns = list(self.tables[table.name])
        for at, column in enumerate(table.columns):
            if column.to:
                numbers = self.numbers[column.to]
                columns[at] = [numbers.get(uid, self) if uid else uid for uid in columns[at]]
                self.bad += [
                    BadRow(
                        file_of(table),
                        i + 2,
                        f"{column.name} {quoted(self.tables[table.name][at][i])} is nowhere",
                    )
                    for i, number in enumerate(columns[at])
                    if number is self
                ]
        if table.key == ("id",):
            columns[0] = [self.numbers[table.name].get(uid) for uid in columns[1]]
        return list(zip(*columns, strict=True))

    def _hold_equal(self, table: Table, rows: Numbered) -> None:
        """See that what is known already says the same here and there."""
        here = set(self.book.rows(f"SELECT {', '.join(table.names)} FROM {table.name}"))
        self.bad += [
            BadRow(file_of(table), i + 2, "the same entry is in this logbook with other contents")
            for i, row in rows
            if row not in here
        ]

    def _add(self, table: Table, rows: Numbered) -> None:
        """Add rows; where one cannot stand, find all that cannot."""
        rows = sorted(rows, key=lambda pair: pair[1][0] or 0)
        db = self.book.connection
        db.execute("SAVEPOINT bulk")
        try:
            self.book.add(table.insertion, [row for _, row in rows])
        except (sqlite3.IntegrityError, OverflowError):
            db.execute("ROLLBACK TO bulk")
            for i, row in rows:
                try:
                    self.book.add(table.insertion, [row])
                except (sqlite3.IntegrityError, OverflowError) as error:
                    self.bad.append(BadRow(file_of(table), i + 2, f"it cannot stand ({error})"))
        db.execute("RELEASE bulk")

    def _rename(self, now: datetime.datetime) -> tuple[tuple[Renamed, ...], Id | None]:
        """Give new names to things that came in under a name that was taken."""
        things = things_of(self.book)
        fresh = set(self.fresh["thing"])
        taken = {(each.kind, each.name.casefold()) for each in things.every if each.uid not in fresh}
        step = Step("import", When(now), note=f"names that were taken here, from {self.name}")
        renamed = []
        for each in things.every:
            if each.uid not in fresh:
                continue
            name, number = each.name, 1
            while (each.kind, name.casefold()) in taken:
                number += 1
                name = f"{each.name} ({number})"
            taken.add((each.kind, name.casefold()))
            if name != each.name:
                step.setting(each.uid, "name", name)
                renamed.append(Renamed(each.kind, each.name, name))
        if not renamed:
            return (), None
        return tuple(renamed), record_within(self.book, [step], now, new=True)[0].id
