"""Bringing another logbook's record into this one: what is known already is left alone."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slurrycalc.logbook.columns import Column, TableShape
from slurrycalc.logbook.descriptor import file_of
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.links import see_that_all_can_be_told
from slurrycalc.logbook.packages import BadRow, Package, Part
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.rules import misplaced, wrong_cells, wrong_setting
from slurrycalc.logbook.schema import guard
from slurrycalc.logbook.standing import chunked, standing
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.names import LONGEST_NAME
from slurrycalc.metrology.quote import clean, quoted
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.watch import Watch, unwatched

Numbered = list[tuple[int, tuple[Any, ...]]]
"""Rows with their places in their file."""
PARTS = ("fix", "answer")
"""Kinds of entries that are always part of another one."""


@dataclass(frozen=True)
class Renamed:
    """A thing whose name was taken here."""

    kind: str
    name: str
    now: str


@dataclass(frozen=True)
class Imported(Result):
    """What came in."""

    entries: int
    known: int
    """Entries that were here already."""
    rows: int
    """In all tables."""
    renamed: tuple[Renamed, ...] = ()
    saved: Id | None = None
    """The entry by which it can be undone; None where nothing was recorded."""
    left_out: tuple[BadRow, ...] = ()
    """Rows that cannot be read or cannot stand, where the others were to come in without them."""
    struck: Id | None = None
    """The entry that struck out what was here already, where nothing came in for that reason."""
    readings: int | None = None
    """Of a table: how many came in."""
    enclosures: int | None = None
    """Of how many enclosures they are."""

    def _body(self) -> str:
        return f"{self.entries} entries with {self.rows} rows came in; {self.known} were here already"


def import_package(
    book: Store, path: Path, now: datetime.datetime, watch: Watch = unwatched
) -> Imported:
    """Bring in an exported logbook, as one step; doing it twice adds nothing.

    Parameters
    ----------
    book : Store
        Open for writing.
    path : Path
        Of the folder or the archive.
    now : datetime
        The present, with its offset from UTC.
    watch : Watch
        What its tables are handed to on their way.

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
        If the logbook cannot be written.
    """
    with Package(path) as package, book.transaction(), _unguarded(book):
        return _Merging(book, package, now).merge(watch)


@contextmanager
def _unguarded(book: Store) -> Iterator[None]:
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

    def __init__(self, book: Store, package: Package, now: datetime.datetime) -> None:
        self.book = book
        self.package = package
        self.now = now
        self.first = {kind: self._last(kind) + 1 for kind in ("entry", "thing")}
        """Numbers from which on something is new here."""
        self.known = 0
        self.before = standing(book)
        self.struck: set[int] = set()
        """Entries that strike out what is here already."""
        self.striking = set(self.before.entries.values())
        self.told: set[int] = set()
        """Those of all striking ones that the package has as well."""

    def _last(self, kind: str) -> int:
        return int(self.book.rows(f"SELECT coalesce(max(id), 0) FROM {kind}")[0][0])

    def merge(self, watch: Watch) -> Imported:
        """Add what is new, and see that what is known is the same."""
        added = {table.name: 0 for table in TABLES}
        for table in watch(TABLES, len(TABLES)):
            for part in self.package.parts(table):
                added[table.name] += self._take(table, part)
            # What rests on rows that cannot stand would be told as well, and lead astray.
            self.package.bad.refuse()
        see_that_all_can_be_told(self.book, self.first["entry"], self.first["thing"], self.package.bad)
        self.package.bad.refuse()
        entries, rows = added["entry"], sum(added.values())
        if not entries:
            struck = max(self.struck - self.told, default=None)
            return Imported(0, self.known, 0, struck=None if struck is None else Id(struck))
        renamed, step = self._step()
        if rows == entries + added["arrival"] and not self._says_something():
            # Nothing but another keeper's imports of what was here already.
            return Imported(entries, self.known, rows)
        return Imported(entries, self.known, rows, renamed, self._record(step))

    def _says_something(self) -> bool:
        sql = "SELECT 1 FROM entry WHERE id >= ? AND kind <> 'import' LIMIT 1"
        return bool(self.book.rows(sql, (self.first["entry"],)))

    def _take(self, table: TableShape, part: Part) -> int:
        """Take in some rows of a table; give how many of them are new."""
        file, numbers = file_of(table), range(part.first, part.first + len(part.columns[0]))
        before = len(self.package.bad)
        for column, values in zip(table.columns, part.columns, strict=True):
            wrong: dict[Any, str] = wrong_cells(column, values)
            if not column.null and not before:
                wrong[None] = f"its {column.name} is empty"
            if not wrong.keys().isdisjoint(values):
                for i, value in zip(numbers, values, strict=True):
                    if value in wrong:
                        self.package.bad.add(file, i, wrong[value])
        if self.package.bad:
            return 0
        if table.key == ("id",):
            self._number(table, part, numbers)
        columns = self._inside(table, part, numbers)
        if len(self.package.bad) > before:
            return 0
        own = columns[table.names.index("id" if table.name == "entry" else "entry")]
        self._see(table, columns, own, numbers)
        if len(self.package.bad) > before:
            return 0
        rows: Numbered = list(zip(numbers, zip(*columns, strict=True), strict=True))
        new = [row for row, entry in zip(rows, own, strict=True) if entry >= self.first["entry"]]
        if len(new) < len(rows):
            known = [row for row, entry in zip(rows, own, strict=True) if entry < self.first["entry"]]
            self._hold_equal(table, known)
        self._add(table, new)
        return len(new)

    def _number(self, table: TableShape, part: Part, numbers: range) -> None:
        """Give numbers of this logbook to what is new, in the order of the numbers there."""
        ids, uids = part.columns[0], part.columns[1]
        there = self._ids(table.name, uids)
        highest = max(self._last(table.name), self.first[table.name] - 1)
        last = 0
        for at, (i, uid) in enumerate(zip(numbers, uids, strict=True)):
            # What an entry points to came before it, and so it must here.
            if ids[at] is None or ids[at] <= last:
                why = f"its id, {quoted(ids[at])}, is not above the one before"
                self.package.bad.add(file_of(table), i, why)
            last = ids[at] or last
            if uid not in there:
                highest += 1
                there[uid] = highest
            elif there[uid] >= self.first[table.name]:
                self.package.bad.add(file_of(table), i, f"uid {quoted(uid)} is there twice")
            elif table.name == "entry":
                self.known += 1
                if there[uid] in self.before.entries:
                    self.struck.add(self.before.entries[there[uid]])
                if there[uid] in self.striking:
                    self.told.add(there[uid])
            ids[at] = there[uid]

    def _ids(self, kind: str, uids: Iterable[Any]) -> dict[Any, int]:
        """Give the numbers of those that are here by now."""
        return dict(chunked(self.book, f"SELECT uid, id FROM {kind} WHERE uid IN ({{}})", set(uids) - {None}))

    def _inside(self, table: TableShape, part: Part, numbers: range) -> list[list[Any]]:
        """Turn rows that point by uid into rows that point by number."""
        columns = list(part.columns)
        # An entry may be part of one that came just before it.
        mine = dict(zip(columns[1], columns[0], strict=True)) if table.name == "entry" else {}
        for at, column in enumerate(table.columns):
            if not column.to:
                continue
            there = mine | self._ids(column.to, columns[at]) | {None: None}
            for i, uid in zip(numbers, columns[at], strict=True):
                if uid not in there:
                    self.package.bad.add(file_of(table), i, f"{column.name} {quoted(uid)} is nowhere")
            columns[at] = [there.get(uid) for uid in columns[at]]
        return columns

    def _see(self, table: TableShape, columns: list[list[Any]], own: Sequence[int], numbers: range) -> None:
        """Hold rows to what only several cells together tell."""
        cells = dict(zip(table.names, columns, strict=True))
        bad, file = self.package.bad, file_of(table)
        if table.name == "entry":
            times = zip(cells["at"], cells["recorded"], cells["day_only"], strict=True)
            for i, when, kind, owner in zip(numbers, times, cells["kind"], cells["part_of"], strict=True):
                why = misplaced(*when, self.now) if None not in when else "it has no time"
                if why is None and kind in PARTS and owner is None:
                    why = f"{quoted(kind)} is part of no entry"
                if why is not None:
                    bad.add(file, i, why)
        for column in table.columns:
            if column.to == "entry" and column.name != "entry":
                within = column.name not in ("part_of", "target_entry", "target")
                for i, entry, target in zip(numbers, own, cells[column.name], strict=True):
                    if target is not None and (target > entry or (target == entry and not within)):
                        bad.add(file, i, f"its {column.name} was recorded after it")
            elif column.to == "thing":
                self._see_things(column, cells, own, numbers, file)

    def _see_things(
        self, column: Column, cells: dict[str, list[Any]], own: Sequence[int], numbers: range, file: str
    ) -> None:
        """Hold what is pointed to to its kind, and what is said of it to what can be said."""
        bad, today, name = self.package.bad, self.now.date(), column.name
        sql = "SELECT id, kind, entry FROM thing WHERE id IN ({})"
        there = {id_: (kind, made) for id_, kind, made in chunked(self.book, sql, set(cells[name]) - {None})}
        for at, (i, thing) in enumerate(zip(numbers, cells[name], strict=True)):
            if thing is None:
                continue
            kind, made = there[thing]
            if made > own[at]:
                bad.add(file, i, f"its {name} was recorded after it")
            elif name == "thing":
                why = wrong_setting(kind, str(cells["key"][at]), str(cells["value"][at]), today)
                if why:
                    bad.add(file, i, why)
            elif kind != (column.kind or name):
                bad.add(file, i, f"its {name} is a {kind}")

    def _hold_equal(self, table: TableShape, rows: Numbered) -> None:
        """See that what is known already says the same here and there."""
        at = table.names.index("id" if table.name == "entry" else "entry")
        sql = f"SELECT {', '.join(table.names)} FROM {table.name} WHERE {table.names[at]} IN ({{}})"
        here = set(chunked(self.book, sql, {row[at] for _, row in rows}))
        for i, row in rows:
            if row not in here:
                self.package.bad.add(
                    file_of(table), i, "the same entry is in this logbook with other contents"
                )

    def _add(self, table: TableShape, rows: Numbered) -> None:
        """Add rows; where one cannot stand, find all that cannot."""
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
                    self.package.bad.add(file_of(table), i, f"it cannot stand ({error})")
        db.execute("RELEASE bulk")

    def _step(self) -> tuple[tuple[Renamed, ...], Step]:
        """Make the step, with new names for things that came in under a name that was taken."""
        first = self.first["thing"]
        things = things_of(self.book)
        taken = {(each.kind, each.name.casefold()) for each in things.every if each.id < first}
        step = Step("import", When(self.now), note=clean(self.package.name)[:200])
        renamed = []
        for each in things.every:
            if each.id < first:
                continue
            name, number = each.name, 1
            while (each.kind, name.casefold()) in taken:
                number += 1
                suffix = f" ({number})"
                name = f"{each.name[: LONGEST_NAME - len(suffix)]}{suffix}"
            taken.add((each.kind, name.casefold()))
            if name != each.name:
                step.setting(each.uid, "name", name)
                renamed.append(Renamed(each.kind, each.name, name))
        return tuple(renamed), step

    def _record(self, step: Step) -> Id:
        """Put the step on record, with what came with it and falls with it."""
        (saved,) = record_within(self.book, [step], self.now, new=True)
        self.book.connection.execute(
            "INSERT INTO arrival (entry, n, target) "
            "SELECT ?1, row_number() OVER (ORDER BY id), id FROM entry WHERE id >= ?2 AND id < ?1",
            (saved.id.entry, self.first["entry"]),
        )
        return saved.id
