"""Reading an exported logbook: its files, held to their descriptor, as rows of values."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple, Self

import msgspec

from slurrycalc.logbook import schema
from slurrycalc.logbook.archive import NOTHING, Files, Stream
from slurrycalc.logbook.columns import Column, TableShape
from slurrycalc.logbook.descriptor import HASH, NAME, file_of
from slurrycalc.logbook.forms import TABLES
from slurrycalc.logbook.tables import RowTooLong, as_typed, nested, rows, short
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LARGEST_DESCRIPTOR = 1_000_000
"""Fifty times what ours has (our own figure). [bytes]"""
HARMLESS = 4
"""The form from which on texts that a spreadsheet would run are exported as harmless ones."""
AT_ONCE = 2000
"""Rows that are held in memory at a time (our own figure)."""
MOST_TOLD = 20
"""Bad rows that are told one by one."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be read or cannot stand."""

    file: str
    row: int
    """As a spreadsheet counts: the header is row 1; 0 where the text says which."""
    text: str

    def __str__(self) -> str:
        return f"{self.file}, row {self.row}: {self.text}" if self.row else f"{self.file}, {self.text}"


class BadRows(Refusal):
    """Rows that cannot be read or cannot stand; nothing was imported.

    Parameters
    ----------
    name : str
        Of the file or folder.
    rows : sequence of BadRow
        All of them, or the first ones.
    number : int, optional
        How many there are; by default as many as are given.
    """

    def __init__(self, name: str, rows: Sequence[BadRow], number: int | None = None) -> None:
        number = len(rows) if number is None else number
        told = "; ".join(str(row) for row in rows[:MOST_TOLD])
        more = f"; and {number - MOST_TOLD} more" if number > MOST_TOLD else ""
        count = "1 row" if number == 1 else f"{number} rows"
        super().__init__(f"{count} of {quoted(name)} cannot stand, so nothing was imported: {told}{more}.")
        self.rows = tuple(rows)


class BadOnes:
    """Bad rows as they are met: the first ones are kept, all are counted.

    Parameters
    ----------
    name : str
        Of the file or folder.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._first: list[BadRow] = []
        self._number = 0

    def __len__(self) -> int:
        return self._number

    def add(self, file: str, row: int, text: str) -> None:
        """Note that a row cannot stand, and why."""
        self._number += 1
        if len(self._first) < MOST_TOLD:
            self._first.append(BadRow(file, row, text))

    def refuse(self) -> None:
        """Refuse all of it if a row was bad."""
        if self._number:
            raise BadRows(self._name, self._first, self._number)


class Part(NamedTuple):
    """Some rows of a table."""

    first: int
    """Number of the first one, as a spreadsheet counts."""
    columns: list[list[Any]]
    """Their values, column by column."""


class Package:
    """An exported logbook, open for reading.

    Parameters
    ----------
    path : Path
        Of the folder, its descriptor, or the archive.

    Raises
    ------
    Refusal
        If it is no exported logbook, or cannot be read.
    """

    def __init__(self, path: Path) -> None:
        self.name = path.name
        self._path = path
        self._files = Files(
            path.parent if path.name == NAME and path.is_file() else path,
            {NAME, *map(file_of, TABLES)},
        )
        self.bad = BadOnes(self.name)
        try:
            self._form, self._sums = self._descriptor()
        except BaseException:
            self._files.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._files.close()

    def _open(self, name: str) -> Stream:
        if name not in self._files:
            raise Refusal(
                f"{quoted(str(self._path), 200)} holds no `{name}`, so it is no exported logbook; {NOTHING}."
            )
        return self._files.open(name)

    def _descriptor(self) -> tuple[int, Mapping[str, str]]:
        """Read the form, and the sum that is stated for each file."""
        another_kind = Refusal(f"{quoted(str(self._path), 200)} has a `{NAME}` of another kind; {NOTHING}.")
        with closing(self._open(NAME)) as file:
            data = io.BufferedReader(file).read(LARGEST_DESCRIPTOR + 1)
        try:
            text = data.decode()
            if len(data) > LARGEST_DESCRIPTOR or nested(text):
                raise another_kind
            made = msgspec.json.decode(text)
            form = made["slurrycalc"]["form"]
            sums = {each["path"]: str(each.get("hash", "")) for each in made["resources"]}
        except (msgspec.DecodeError, UnicodeDecodeError, KeyError, TypeError, AttributeError):
            raise another_kind from None
        if not isinstance(form, int) or isinstance(form, bool) or not 1 <= form <= schema.VERSION:
            raise Refusal(
                f"{quoted(str(self._path), 200)} was exported in form {quoted(form).strip('`')}, and this "
                f"slurrycalc reads up to {schema.VERSION}; update slurrycalc."
            )
        for table in TABLES:
            if table.since <= form and not _SUM.fullmatch(sums.get(file_of(table), "")):
                raise Refusal(
                    f"{quoted(str(self._path), 200)} states no {HASH} of `{file_of(table)}`, so nobody can "
                    f"tell whether that is whole; export the record anew; {NOTHING}."
                )
        return form, sums

    def parts(self, table: TableShape) -> Iterator[Part]:
        """Read a table, some rows at a time; rows that cannot be read are noted in `bad`.

        Parameters
        ----------
        table : Table
            Which one.

        Yields
        ------
        Part
            Rows of values, pointing to entries and things by uid. A part in which a row cannot be read has
            none.

        Raises
        ------
        Refusal
            If the file is missing, is no table, or was changed since it was exported: that is known when it
            was read to its end.
        """
        # A table that came with a later form than the package's is one in which nothing was recorded.
        if table.since > self._form:
            return
        name = file_of(table)
        with closing(self._open(name)) as file:
            text = io.TextIOWrapper(io.BufferedReader(file), "utf-8-sig", newline="")
            try:
                yield from self._parts(table, name, text)
            except (UnicodeDecodeError, csv.Error, RowTooLong, _OtherColumns) as error:
                # A file that was cut or changed is told as such, whatever that made of it.
                self._hold_whole(name, file)
                if isinstance(error, _OtherColumns):
                    raise
                raise Refusal(f"`{name}` is no table that can be read ({error}); {NOTHING}.") from None
            self._hold_whole(name, file)

    def _hold_whole(self, name: str, file: Stream) -> None:
        if file.sha256() != self._sums[name].removeprefix(HASH):
            raise Refusal(f"`{name}` was changed or cut short since it was exported; {NOTHING}.")

    def _parts(self, table: TableShape, name: str, text: io.TextIOWrapper) -> Iterator[Part]:
        lines = rows(short(text))
        header = next(lines, [])
        if sorted(header) != sorted(table.names):
            raise _OtherColumns(f"`{name}` has other columns than {', '.join(table.names)}; {NOTHING}.")
        places = [header.index(column) for column in table.names]
        first = 2
        while some := list(islice(lines, AT_ONCE)):
            uneven = [(i, row) for i, row in enumerate(some, first) if len(row) != len(header)]
            for i, row in uneven:
                self.bad.add(name, i, f"{len(row)} cells where the header has {len(header)}")
            if not uneven:
                cells = list(zip(*some, strict=True))
                columns = zip(table.columns, places, strict=True)
                yield Part(first, [self._column(column, cells[at], name, first) for column, at in columns])
            first += len(some)

    def _column(self, column: Column, cells: Sequence[str], name: str, first: int) -> list[Any]:
        """Turn a column's cells into values."""
        read: Callable[[str], Any] = _KINDS.get("string" if column.to else column.type, str)
        if column.is_text and self._form >= HARMLESS:
            read = as_typed
        # An empty cell that may not be empty is refused by the logbook itself.
        values: dict[str, Any] = {"": None}
        for cell in set(cells) - {""}:
            try:
                values[cell] = read(cell)
            except ValueError:
                for i, each in enumerate(cells, first):
                    if each == cell:
                        self.bad.add(name, i, f"{quoted(cell)} is no {column.type} for {column.name}")
                values[cell] = None
        return [values[cell] for cell in cells]


def is_package(path: Path) -> bool:
    """Tell whether a path looks like an exported logbook rather than a table.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bool
        True for a folder, an archive, or a descriptor.
    """
    return is_folder(path) or path.suffix.casefold() in (".zip", ".json")


def is_folder(path: Path) -> bool:
    """Tell whether a path is that of a folder; one that no file can have is not."""
    try:
        return path.is_dir()
    except OSError:
        return False


class _OtherColumns(Refusal):
    """A table whose columns are others."""


_SUM = re.compile(re.escape(HASH) + "[0-9a-f]{64}")
_INTEGER = re.compile(r"-?[0-9]{1,15}")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?(e[+-]?[0-9]+)?")


def _whole(cell: str) -> int:
    if not _INTEGER.fullmatch(cell):
        raise ValueError
    return int(cell)


def _number(cell: str) -> float:
    if not _NUMBER.fullmatch(cell):
        raise ValueError
    return float(cell)


_KINDS: Mapping[str, Callable[[str], Any]] = {"integer": _whole, "boolean": _whole, "number": _number}
